"""Studies: questions asked of a brief, each answered by a frozen result with its credentials."""
