"""putback: a car is a state, a job is a round trip."""
