"""Boxes: trays and lids, n-sided cartons, and what comes to a point."""
