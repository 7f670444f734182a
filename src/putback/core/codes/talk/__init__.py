"""What is asked of modules and what they answer, held without a bus: with a car, with a log, in a test."""
