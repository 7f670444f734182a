"""The pure middle: what a car is, what operations are, what rules say. Standard library only."""
