"""HP-GL followed as a plotter would.

`words` (text to instructions), `encoded` (PE to places), `many` (stretches of PU and PD that are read in columns),
`frame` (user units over plotter units over the paper), `window` (where the
tool is lifted because a line leaves it), `follow` (instruction by instruction to moves), `plain` (matrices as
plain numbers), `figures` (speeds and forces that were said).
"""
