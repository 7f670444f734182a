"""Reads held against one another: one verdict for each code, and what may be said of the whole car."""
