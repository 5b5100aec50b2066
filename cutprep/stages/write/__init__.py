"""Moves and drawings to text."""
