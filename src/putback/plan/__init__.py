"""Search: which work is least, in which order, and what follows from it."""
