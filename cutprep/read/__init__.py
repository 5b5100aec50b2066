"""Bytes to a drawing."""
