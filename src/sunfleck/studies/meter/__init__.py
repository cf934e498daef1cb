"""The meter round: where to read, what was read, what it says of the lamps, and what is left to do."""
