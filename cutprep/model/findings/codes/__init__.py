"""The rows of the catalogue, a file for each kind of finding."""
