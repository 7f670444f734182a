"""One idea: a tightness is a claim, so each figure comes with its unit, its band, its source and its limits.

Pure functions, one module for each subject. A formula takes plain numbers by keyword with the unit in the name; its
entry in that module's `FORMULAS` says by which short name it is called, what goes in and comes out, where it is from
and where it does not hold. Nothing in here is a specification: the maker's value wins over everything.
"""
