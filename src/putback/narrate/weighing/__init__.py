"""One idea: where no rule decides, words are weighed; the weights are measured on labelled narrations."""
