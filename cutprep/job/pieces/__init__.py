"""Pieces of a job that belong together.

`fits` tells how pieces fit one another, `sets` proves and makes up sets that were drawn to fit.
"""
