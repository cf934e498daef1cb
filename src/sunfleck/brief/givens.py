"""Given values: numbers that enter a computation, with their credentials."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sunfleck.library.values import Sourced

How = Literal["given", "constant", "computed"]


@dataclass(frozen=True, slots=True)
class Given:
    """One number that enters a computation.

    Attributes
    ----------
    id : str
        Its place: ``lamps/ID/FIELD`` in the library, ``plan/...`` in the plan.
    label : str
        What it is, in a builder's words.
    value : float
        The number, in `unit`.
    unit : str
        SI unit of `value`.
    how : str
        ``given`` by library or plan, ``constant`` of a standard, or ``computed`` by a named method.
    source : str
        Who says so; for computed numbers, the method.
    basis : str
        How well it is known.
    where : str
        ``file:line`` or the library entry.
    """

    id: str
    label: str
    value: float
    unit: str
    how: How
    source: str
    basis: str
    where: str


def given_from_library(key: str, label: str, sourced: Sourced) -> Given:
    """Return a library value as a given."""
    return Given(
        id=key,
        label=label,
        value=number(sourced),
        unit=sourced.unit,
        how="given",
        source=sourced.source,
        basis=sourced.basis,
        where=sourced.where,
    )


def number(sourced: Sourced) -> float:
    """Return the number of a library value that must be one."""
    value = sourced.value
    assert isinstance(value, (int, float)), f"{sourced.where} is not a number"
    return float(value)
