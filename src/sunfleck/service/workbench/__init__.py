"""Safe editing of one plan: edits in a builder's terms, undo and redo, a journal, and saving without loss."""
