"""What is laid out and where: demands, shapes, the usable area on a sheet, no-fit polygons, patterns of copies."""
