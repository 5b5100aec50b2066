"""A drawing to findings."""
