"""One line by itself: its `segments`, its vertices (`turning`), closed ones as `rings`; all lines of a drawing in one `pose`."""
