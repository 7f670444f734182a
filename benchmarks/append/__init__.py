"""One idea: an append is measured beside the least it could cost, and a store is killed to see what it loses."""
