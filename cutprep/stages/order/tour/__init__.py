"""A short way through all lines.

`task` (the lines with everything that binds their order), `engine` (the door to the search, written in Lua), `plain`
(the nearest next, without it), `search` (short, then tearing little at little more travel).
"""
