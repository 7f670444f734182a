"""One idea: what was written or said becomes words and numbers, each with its place."""
