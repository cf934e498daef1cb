"""The workbench's pages, in the browser of the machine that the plan is on. They compute nothing."""
