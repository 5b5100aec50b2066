"""The smallest drawing, job or file that gives each code of the catalogue."""
