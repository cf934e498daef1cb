"""Whether every part of a plan goes in through its doors, in what order, and comes out again."""
