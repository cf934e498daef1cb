"""Heat and air of a plan over the day and the year."""
