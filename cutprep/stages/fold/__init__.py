"""A template to a folded shape."""
