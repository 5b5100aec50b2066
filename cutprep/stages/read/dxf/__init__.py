"""A DXF drawing to lines: bytes to tags, records and sections, the blocks with their looks, and their shapes (`shapes/`)."""
