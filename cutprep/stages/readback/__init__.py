"""Machine files to moves; shares nothing with the writers.

`machine_file` is the door. `hpgl`, `gcode` and `drawing` each follow a file as its machine would and write what they see
into a `track`, arcs as chords (`curves`), with what is `held` beside where the tool goes. `compare` lays it
all beside what was planned.
"""
