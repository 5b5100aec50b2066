"""Pieces of a job that belong together.

`own` gives pieces of a drawing a card and a count of their own, `fits` tells how pieces fit one another, `sets` proves and
makes up sets that were drawn to fit.
"""
