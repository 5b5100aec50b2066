"""Bytes to a drawing.

`reader` is the door; `sniff` knows what a file is. `svg` and `dxf` read
each their format; `cutting_back` applies the clips of both; `other_units` says how large a drawing without a unit would be in others.
"""
