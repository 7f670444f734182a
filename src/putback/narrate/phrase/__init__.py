"""One idea: words become names, verbs and short segments, each with a mood."""
