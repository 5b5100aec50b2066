"""G-code followed as an interpreter would.

`words` (text to blocks), `lifting` (whether the tool is down), `follow` (block by block to moves).
"""
