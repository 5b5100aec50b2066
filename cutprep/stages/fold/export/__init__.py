"""Files of the folded shape.

`fold_file` (FOLD 1.2, flat and folded), `skin` (the part as one closed surface of triangles), `mesh_files` (OBJ and
STL).
"""
