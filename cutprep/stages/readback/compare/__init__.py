"""What a machine file does, beside what was planned.

`runs` (stretches with the tool down), `align` (which belongs to which), `walk` (where two lines part), `strokes` (the
findings).
"""
