"""Machine files to moves; shares nothing with the writers."""
