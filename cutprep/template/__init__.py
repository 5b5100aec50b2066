"""Drawings from dimensions."""
