"""Machine files to moves; shares nothing with the writers.

`machine_file` is the door. `hpgl` and `gcode` each follow a file as its machine would and write what they see into a
`track`, arcs as chords (`curves`). `compare` lays the moves beside what was planned.
"""
