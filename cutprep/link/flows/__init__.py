"""Ways of holding back: `flow` is what all have in common, `hpgl` and `gcode` are those of the languages."""
