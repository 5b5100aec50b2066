"""Moves and drawings to text.

Machine files: `machine_file` is the door, `dialect` the one walk over the moves, `hpgl` and `gcode` its two
languages, `polyline` the encoded lines of HP-GL/2, `plain_text` what goes into G-code from elsewhere, `for_machine` a plan as a drawing. Files for people and programs: `svg_file`,
`dxf_file` and `pdf`, with `layer_style` (how lines look) and `curves` (arcs said as arcs).
"""
