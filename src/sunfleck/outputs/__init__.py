"""Results as pictures and files: nothing is computed here, only drawn and written."""
