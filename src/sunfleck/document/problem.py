"""The Problem record: one thing wrong with a plan, shown alike on every face."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from sunfleck.errors import SunfleckError


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing wrong with a plan.

    Attributes
    ----------
    rule : str
        Stable code with a section in ``docs/rules.md``.
    where : str
        Path in the plan, with the user's own name for the part.
    line, column : int
        Place in the file, from 1.
    wrote : str
        What was written.
    needed : str
        What was needed, with the limit and where it comes from.
    fix : str, optional
        A remedy that can be pasted.
    file : str
        Name of the file.
    """

    rule: str
    where: str
    line: int
    column: int
    wrote: str
    needed: str
    fix: str | None = None
    file: str = "plan.yaml"

    def __str__(self) -> str:
        """Return the problem as a person reads it."""
        lines = [
            f"{self.file}:{self.line}:{self.column}  {self.where}",
            f"    wrote   {self.wrote}",
            f"    needed  {self.needed}",
        ]
        if self.fix:
            lines.append(f"    try     {self.fix}")
        lines.append(f"    rule    {self.rule}")
        return "\n".join(_on_one_line(line) for line in lines)

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {name: getattr(self, name) for name in self.__slots__}


class PlanError(SunfleckError):
    """A plan with problems.

    Parameters
    ----------
    problems : tuple of Problem
        Every problem found.

    Attributes
    ----------
    problems : tuple of Problem
        The same in file order; at one place in the order given.
    without : str
        What did not happen because of them.
    """

    without = "nothing was computed"

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(problems, key=lambda problem: (problem.line, problem.column)))
        number = len(self.problems)
        count = f"{number} problem{'s' if number != 1 else ''}; {self.without}."
        super().__init__("\n\n".join([*map(str, self.problems), count + self._not_looked_at()]))

    def _not_looked_at(self) -> str:
        """Say what comes after these problems, so that nobody takes them for all there are."""
        kinds = {problem.rule.split(".")[0] for problem in self.problems}
        these = "this is" if len(self.problems) == 1 else "these are"
        if kinds == {"yaml"}:
            return f" Keys, values and rules across fields are checked once {these} mended."
        if kinds and kinds <= {"schema", "plan"}:
            return f" Rules across fields are checked once {these} mended."
        return ""

    def __reduce__(self) -> tuple[type[PlanError], tuple[tuple[Problem, ...]]]:
        """Carry the problems, not their text, from one process to another."""
        return type(self), (self.problems,)


class EntryError(PlanError):
    """Entries with problems: not one of them was entered."""

    without = "nothing was entered"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word that is most like `word`, or None when none is."""
    found = get_close_matches(word[:200], list(known), n=1)
    return found[0] if found else None


# What would break the layout, turn the text around or reach a terminal as a command.
_UNSHOWABLE = re.compile(
    "[\x00-\x1f\x7f-\x9f\u2028\u2029\u200e\u200f\u202a-\u202e\u2066-\u2069\ud800-\udfff]"
)


def _on_one_line(line: str) -> str:
    """Return a line in which a user's text cannot break the layout."""
    return _UNSHOWABLE.sub(lambda found: found[0].encode("unicode_escape").decode("ascii"), line)
