"""One line by itself: its `segments`, its vertices (`turning`), and closed ones as `rings`."""
