"""One idea: verb, particle and thing together say what was done, to what."""
