"""Print the list of unsettled values for ``docs/sources.md``: ``python -m sunfleck.library``."""

import sys

from sunfleck.library.loader import load_library
from sunfleck.library.unsettled import unsettled_table

if __name__ == "__main__":
    sys.stdout.write(unsettled_table(load_library()))
