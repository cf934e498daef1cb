"""Documents: YAML text with the place of every value, and problems that point into it."""
