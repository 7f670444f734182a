"""One idea: what was said becomes operations of the closed list, each with the very words it was taken from.

Nothing is added to what was said: a number stands in the span it came from, and what was not heard is a question.
"""
