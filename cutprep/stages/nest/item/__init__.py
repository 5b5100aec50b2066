"""What is laid out and where: demands, shapes, the room on a sheet, no-fit regions, patterns of copies."""
