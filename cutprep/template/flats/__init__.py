"""Flat pieces: `flat` (tags, dividers, lace), and `soft` ones with curved scores."""
