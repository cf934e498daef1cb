"""The workbench in the browser: its elements and pages. They compute nothing."""
