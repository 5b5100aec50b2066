"""An SVG drawing to lines: bytes to a tree (`xml`), the walk over it with its styles, and its shapes (`shapes/`)."""
