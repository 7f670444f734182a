"""One idea: a narration is heard from its beginning to its end, with what is known so far."""
