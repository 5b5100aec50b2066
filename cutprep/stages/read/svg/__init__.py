"""SVG to a drawing, in the order of the work.

`xml` (bytes to a tree), `css`, `values` and `style` (what applies to an element), `elements` and `document`
(what an element says), `within` (what lies in it), `walk` (what is drawn, where), `beside` (what is no line),
`shapes` (to lines in mm),
`drawing` (the whole way), `second` (a second opinion on the size), `notes` (what was left out or assumed).
"""
