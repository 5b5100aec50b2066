"""Flat pieces: `flat` (tags, dividers, lace), `cards` that fold once, and `soft` ones with curved scores."""
