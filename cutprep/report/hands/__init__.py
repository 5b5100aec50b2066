"""What hands do with a template: its pieces, where their scores lie, and the steps in order.

`drawings` (put together of what was laid out apart), `pieces` (each with a blank of its own), `scores`, `slots` and
`ruler` (what is measured off), `table` (the same in words), `assembly` (how a piece is put together), `together` (how
the pieces are), `steps` (all of it in order), `behind` (which scores the machine has made from the back).
"""
