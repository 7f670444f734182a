"""One idea: the words of the trade, and those of everyday talk, stand in tables."""
