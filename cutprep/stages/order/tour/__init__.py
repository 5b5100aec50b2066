"""A short way through all lines.

`task` (the lines with everything that binds their order), `engine` (the door to the search; the search itself is C, in
`wasm/`, run by `instance`), `values` (what it is told beside the lines), `plain` (the nearest next, without it), `search`
(short, then tearing little at little more travel).
"""
