"""Shapes, arrays of triangles and the search tree that rays go through; SI floats and arrays only."""
