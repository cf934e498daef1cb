"""Independent answers to hold the program against, and the scenes they are asked for."""
