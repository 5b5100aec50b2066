"""A sheet to strokes in working order."""
