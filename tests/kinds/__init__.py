"""Kinds of template with what must come of each when it is folded."""
