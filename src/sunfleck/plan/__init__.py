"""The plan: its models (which are the file format), its rules, and how a file becomes one."""
