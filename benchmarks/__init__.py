"""How long the program takes, against what it should take: run with ``python -m benchmarks``.

The scenes of the tests serve here too.
"""

import sys
from pathlib import Path

sys.path.append(str(Path(__file__).resolve().parents[1] / "tests"))
