"""How much is searched where a plan is only asked what it would be if something were otherwise."""

ANEW_ROUNDS = 4
"""Search rounds of a quick look at a slip: a variant begins with the same, so that it is never dearer than that."""
