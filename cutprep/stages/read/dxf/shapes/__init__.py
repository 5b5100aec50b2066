"""What a DXF entity draws: straight runs, arcs and splines in space, laid flat as lines in mm."""
