"""How one sheet is filled: grids, lattices, blocks, copy by copy, the strip packer in a process of its own, and the search that improves."""
