"""The rule that turns ranges into verdicts, and how a row is chosen for a quantile."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import Literal

import numpy as np
from numpy.typing import NDArray

State = Literal["meets", "short", "over", "unknown"]

# One table, design decision 0006. Shown to the user by `check` and in docs/rules.md.
OVER_SAFETY_CEILING = 0.05
OVER_COMFORT_CEILING = 0.50
SHORT_OF_FLOOR = 0.50
MEETS_INSIDE = 0.80
RULE: tuple[tuple[State, str], ...] = (
    (
        "over",
        f"above the ceiling in {OVER_SAFETY_CEILING:.0%}, or above the target in {OVER_COMFORT_CEILING:.0%}",
    ),
    ("short", f"below the target in {SHORT_OF_FLOOR:.0%}"),
    ("meets", f"inside in {MEETS_INSIDE:.0%}"),
    ("unknown", "otherwise: measure, or adjust within the brackets"),
)
QUANTILES = {"low": 0.05, "expected": 0.50, "high": 0.95}


@dataclass(frozen=True)
class Chances:
    """How many rows lie below the floor, above each ceiling, and inside the wanted range."""

    rows: int
    below: int
    above_comfort: int
    above_safety: int
    inside: int

    def state(self) -> State:
        """Judge: safety first, then comfort, then the floor."""
        if self.above_safety >= OVER_SAFETY_CEILING * self.rows and self.above_safety > 0:
            return "over"
        if self.above_comfort >= OVER_COMFORT_CEILING * self.rows:
            return "over"
        if self.below >= SHORT_OF_FLOOR * self.rows:
            return "short"
        if self.inside >= MEETS_INSIDE * self.rows:
            return "meets"
        return "unknown"


def chances(
    values: NDArray[np.float64],
    floor: float | None = None,
    comfort_ceiling: float | None = None,
    safety_ceiling: float | None = None,
) -> Chances:
    """Count rows against a wanted range.

    Parameters
    ----------
    values : (rows,) float
        The judged quantity in every row.
    floor, comfort_ceiling, safety_ceiling : float, optional
        The wanted range in the same unit; what is left out is not judged.

    Returns
    -------
    chances : Chances
        Counts of rows.
    """
    below = values < floor if floor is not None else np.zeros(len(values), dtype=bool)
    comfort = values > comfort_ceiling if comfort_ceiling is not None else np.zeros(len(values), dtype=bool)
    safety = values > safety_ceiling if safety_ceiling is not None else np.zeros(len(values), dtype=bool)
    return Chances(
        rows=len(values),
        below=int(below.sum()),
        above_comfort=int(comfort.sum()),
        above_safety=int(safety.sum()),
        inside=int((~below & ~comfort & ~safety).sum()),
    )


def row_at(values: NDArray[np.float64], share: float) -> int:
    """Return the row that holds a quantile by nearest rank.

    The quantile is then the value of one possible world, whose factors multiply out to it.

    Parameters
    ----------
    values : (rows,) float
        The quantity in every row.
    share : float
        Share of rows at or below it, above 0 and up to 1. [-]

    Returns
    -------
    row : int
        Index of the row. [-]
    """
    order = np.argsort(values, kind="stable")
    return int(order[max(ceil(share * len(values)) - 1, 0)])
