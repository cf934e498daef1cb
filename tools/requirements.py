"""Print what pyproject.toml asks for, one requirement a line, for any pip.

A pip from before dependency groups (Debian 12 ships 23) cannot read the test group itself, and
an isolated build would fetch its backend unpinned; so the lists are read here and installed
under constraints.txt like everything else.

Usage: python tools/requirements.py demo|test
"""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path

# hatchling asks for it when it installs a package from its source folder.
EDITABLE_INSTALL = ["editables"]


def requirements(kind: str, pyproject: Path) -> list[str]:
    """List the requirements of the demo or of the tests.

    Parameters
    ----------
    kind : str
        ``demo``: the program with its extras. ``test``: that and the test group.
    pyproject : Path
        The project's pyproject.toml.

    Returns
    -------
    lines : list of str
        Requirement specifiers.
    """
    table = tomllib.loads(pyproject.read_text(encoding="utf-8"))
    project = table["project"]
    lines = [*table["build-system"]["requires"], *EDITABLE_INSTALL, *project["dependencies"]]
    for extra in project["optional-dependencies"].values():
        lines += extra
    if kind == "test":
        lines += table["dependency-groups"]["test"]
    return lines


if __name__ == "__main__":
    if sys.argv[1:] not in (["demo"], ["test"]):
        raise SystemExit(__doc__)
    root = Path(__file__).resolve().parent.parent
    sys.stdout.write("\n".join(requirements(sys.argv[1], root / "pyproject.toml")) + "\n")
