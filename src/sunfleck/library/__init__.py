"""The library: sourced data about animals, lamps and materials, and its loader."""
