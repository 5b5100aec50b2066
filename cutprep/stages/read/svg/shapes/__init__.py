"""What an SVG element draws, where it lies, and how much of it shows: segments, matrices, clips, lines in mm."""
