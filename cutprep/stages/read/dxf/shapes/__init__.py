"""Entities to line work on the plane.

`shape` is line work in space; `entities`, `splines`, `multilines` and `faces` make it from each kind of
entity; `flat` lays it onto the plane as chords, and `clip` cuts it back to what inserts show.
"""
