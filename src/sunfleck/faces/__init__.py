"""Faces: the command line. Thin; they compute nothing."""
