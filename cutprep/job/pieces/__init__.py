"""Pieces of a job that belong together.

`named` counts and calls them, `own` gives pieces of a drawing a card and a count of their own or lays them by themselves,
`fits` tells how pieces fit one another, `sets` proves and makes up sets that were drawn to fit.
"""
