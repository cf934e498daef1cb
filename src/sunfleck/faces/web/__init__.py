"""Pages; one page a file. They compute nothing."""
