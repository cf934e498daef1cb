"""A number taken apart: factors whose product, or parts whose sum, is the number."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import fsum, isclose, prod
from typing import Any, Literal

from sunfleck.brief.givens import Given

How = Literal["sum", "product", "given", "constant", "computed", "count"]
CLOSES = 1e-9


@dataclass(frozen=True)
class Step:
    """One number and what it is made of.

    Attributes
    ----------
    label : str
        What it is, in a builder's words.
    value : float
        The number, in `unit`.
    unit : str
        SI or trade unit.
    how : str
        ``sum`` or ``product`` of `parts`; otherwise a leaf.
    parts : tuple of Step
        What it is made of; empty for a leaf.
    source, basis, where : str
        Credentials of a leaf.
    """

    label: str
    value: float
    unit: str
    how: How
    parts: tuple[Step, ...] = ()
    source: str = ""
    basis: str = ""
    where: str = ""

    def closes(self, tolerance: float = CLOSES) -> bool:
        """Whether every sum and product below multiplies out to its number."""
        if not all(part.closes(tolerance) for part in self.parts):
            return False
        if self.how in ("sum", "product"):
            values = [part.value for part in self.parts]
            made = fsum(values) if self.how == "sum" else prod(values)
            return isclose(made, self.value, rel_tol=tolerance, abs_tol=1e-300)
        # A leaf that says neither who nor how explains nothing.
        return bool(self.source)

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        plain: dict[str, Any] = {"label": self.label, "value": self.value, "unit": self.unit, "how": self.how}
        for key in ("source", "basis", "where"):
            if getattr(self, key):
                plain[key] = getattr(self, key)
        if self.parts:
            plain["parts"] = [part.to_dict() for part in self.parts]
        return plain


@dataclass(frozen=True)
class Number:
    """A number that is shown: it has an id, a unit and a way to take it apart.

    Attributes
    ----------
    id : str
        Stable name, what ``explain`` takes.
    label : str
        What it is.
    value : float
        The number.
    unit : str
        Its unit.
    trace : callable
        Returns the `Step` whose value is this number.
    """

    id: str
    label: str
    value: float
    unit: str
    trace: Callable[[], Step]

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {"id": self.id, "value": self.value, "unit": self.unit}


def step_of_given(given: Given) -> Step:
    """Return a given value as a leaf."""
    return Step(given.label, given.value, given.unit, given.how, (), given.source, given.basis, given.where)


def number_of_given(id_: str, given: Given) -> Number:
    """Return a given value as a number that is shown."""
    return Number(id_, given.label, given.value, given.unit, lambda: step_of_given(given))


def number_of_step(id_: str, step: Step) -> Number:
    """Return a step that is there already as a number that is shown."""
    return Number(id_, step.label, step.value, step.unit, lambda: step)
