"""The outside world, one file for each kind."""
