"""Pure functions on arrays of points."""
