"""The enclosure in space: meshes of everything a plan has, and their bytes. Nothing is computed of light or heat."""
