"""Moves to seconds."""
