"""Strokes to the path of the tool's pivot."""
