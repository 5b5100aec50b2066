"""Moves to seconds.

`ramp` (one straight move), `junction` (from one into the next), `duration` (all moves, look-ahead and sums by
kind), `line` (motion that waits for the line), `calibrate` (a machine's figures from timed trials).
"""
