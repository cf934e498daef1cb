"""The exceptions of Sunfleck.

::

    SunfleckError
    ├── DomainError    a number outside the range where a formula means anything (also a ValueError)
    ├── UnitError      a quantity that cannot be read (also a ValueError)
    ├── LibraryError   a library entry that does not carry its credentials
    └── PlanError      a plan with problems (defined beside the Problem record, in ``document.problem``)
"""

from __future__ import annotations


class SunfleckError(Exception):
    """Anything Sunfleck refuses, with a reason a person can act on."""


class DomainError(SunfleckError, ValueError):
    """A number outside the range where a physics or geometry function means anything."""


class LibraryError(SunfleckError):
    """A library entry that cannot be used: no source, no basis, unknown key or wrong unit."""


class UnitError(SunfleckError, ValueError):
    """A quantity as a person wrote it that cannot be read as what was asked for.

    Parameters
    ----------
    wrote : str
        What was written.
    needed : str
        What was needed instead.
    fix : str, optional
        A spelling that would be accepted.
    """

    def __init__(self, wrote: str, needed: str, fix: str | None = None) -> None:
        self.wrote = wrote
        self.needed = needed
        self.fix = fix
        remedy = f"; try {fix}" if fix else ""
        super().__init__(f"{wrote!r} is not {needed}{remedy}")
