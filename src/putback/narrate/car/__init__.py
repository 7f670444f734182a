"""One idea: a car is drawn and learned from procedures."""
