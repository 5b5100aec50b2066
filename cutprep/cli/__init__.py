"""The command line.

`app` holds the commands about jobs, `drawing_commands` those that make and mend drawings, `own` has those about the maker's own things; all only turn
arguments (`options`, made from the table of settings) into calls. What they call: `jobs` (with `done`, what is said at the end), `folding`, `drawings`, and the wings
`machines` and `own`.
What all of them use: `show` (results and errors), `progress` (bars), `plain` (the parser's messages in plain
words), `files` (single files, whole or not at all).
"""
