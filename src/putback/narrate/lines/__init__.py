"""One idea: the lines that were heard get twins, doubts and questions, and become a draft."""
