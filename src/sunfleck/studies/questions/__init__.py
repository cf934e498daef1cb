"""Questions asked for every animal, one a file: a verdict, or None where it does not apply."""
