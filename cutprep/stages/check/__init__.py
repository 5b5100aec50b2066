"""A drawing to findings.

`inspect` is the door: it surveys the drawing once (`survey`) and asks every check in `faults`. `layers` is the table of
what stands on each layer, and which rule said so.
"""
