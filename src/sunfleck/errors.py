"""The exceptions of Sunfleck.

::

    SunfleckError
    ├── DomainError      a number outside the range where a formula means anything (also a ValueError)
    ├── UnitError        a quantity that cannot be read (also a ValueError)
    ├── LibraryError     a library entry that does not carry its credentials
    ├── PhotometryError  a photometric file that cannot be read, with every place that is wrong
    ├── SurveyError      a survey that cannot be begun, found or written
    └── PlanError        a plan with problems (defined beside the Problem record, in ``document.problem``)
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


class SunfleckError(Exception):
    """Anything Sunfleck refuses, with a reason a person can act on."""


class DomainError(SunfleckError, ValueError):
    """A number outside the range where a physics or geometry function means anything."""


class LibraryError(SunfleckError):
    """A library entry that cannot be used: no source, no basis, unknown key or wrong unit."""


class SurveyError(SunfleckError):
    """A survey that cannot be begun, found or written; what was entered is still with the one who entered it."""


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


@dataclass(frozen=True, slots=True)
class FileProblem:
    """One place of a data file that cannot be read as it stands.

    Attributes
    ----------
    line : int
        Where, from 1; 0 when it is about the file as a whole.
    what : str
        Which field of the format stands there.
    wrote : str
        What was written.
    needed : str
        What was needed instead.
    fix : str, optional
        What to do about it.
    """

    line: int
    what: str
    wrote: str
    needed: str
    fix: str | None = None

    def __str__(self) -> str:
        """Return the problem as a person reads it."""
        where = f"line {self.line}" if self.line else "the file"
        lines = [f"{where}: {self.what}", f"    wrote   {self.wrote}", f"    needed  {self.needed}"]
        return "\n".join([*lines, f"    try     {self.fix}"] if self.fix else lines)


class PhotometryError(SunfleckError):
    """A photometric file that cannot be read.

    Parameters
    ----------
    problems : iterable of FileProblem
        Every problem found; at least one.
    file : str, optional
        Name of the file, where it is known.
    more : int, optional
        How many further problems are not told one by one.

    Attributes
    ----------
    problems : tuple of FileProblem
        The same in file order.
    """

    def __init__(self, problems: Iterable[FileProblem], file: str = "", more: int = 0) -> None:
        self.problems = tuple(sorted(problems, key=lambda problem: problem.line))
        self.file = file
        self.more = more
        number = len(self.problems) + more
        told = f" The first {len(self.problems)} are told." if more else ""
        count = f"{number:,} problem{'s' if number != 1 else ''}; nothing was read from the file.{told}"
        super().__init__("\n\n".join([*([file] if file else []), *map(str, self.problems), count]))

    def __reduce__(self) -> tuple[type[PhotometryError], tuple[tuple[FileProblem, ...], str, int]]:
        """Carry the problems, not their text, from one process to another."""
        return type(self), (self.problems, self.file, self.more)
