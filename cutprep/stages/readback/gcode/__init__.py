"""G-code followed as an interpreter would.

`words` (text to blocks), `lifting` (whether the tool is down), `told` (what is said beside the motion),
`follow` (block by block to moves).
"""
