"""Numbers of a range: low, expected, high, wanted and chances, each with its way back."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import Given
from sunfleck.studies.rule import QUANTILES, Chances, row_at
from sunfleck.studies.trace import Number, Step, number_of_given

RowTrace = Callable[[int], Step]
LABELS = {"low": "could be as low as", "expected": "expected", "high": "could be as high as"}


def range_numbers(
    id_: str, label: str, unit: str, values: NDArray[np.float64], trace: RowTrace
) -> tuple[Number, ...]:
    """Low, expected and high of a quantity: each is its value in one row.

    Parameters
    ----------
    id_ : str
        Prefix of the ids.
    label, unit : str
        What it is.
    values : (rows,) float
        The quantity in every row.
    trace : callable
        Takes a row apart; its value must be the quantity in that row.

    Returns
    -------
    numbers : tuple of Number
        ``low``, ``expected``, ``high``: 5 %, 50 % and 95 % of the rows at or below.
    """
    found = []
    for name, share in QUANTILES.items():
        row = row_at(values, share)
        # Taken apart when somebody asks: a report has hundreds of numbers and few are ever explained.
        found.append(
            Number(f"{id_}.{name}", f"{label}: {LABELS[name]}", float(values[row]), unit, partial(trace, row))
        )
    return tuple(found)


def wanted_numbers(id_: str, **wanted: Given | None) -> tuple[Number, ...]:
    """Targets as numbers; those that are None are left out."""
    return tuple(
        number_of_given(f"{id_}.{name}", given) for name, given in wanted.items() if given is not None
    )


def chance_numbers(id_: str, chances: Chances) -> tuple[Number, ...]:
    """Shares of rows below, above and inside the wanted range."""
    counts = {
        "chance_below": (chances.below, "below the floor"),
        "chance_above_comfort": (chances.above_comfort, "above the comfort ceiling"),
        "chance_above": (chances.above_safety, "above the safety ceiling"),
        "chance_inside": (chances.inside, "inside the wanted range"),
    }
    return tuple(
        _share(f"{id_}.{name}", f"chance of being {words}", count, chances.rows)
        for name, (count, words) in counts.items()
    )


def _share(id_: str, label: str, count: int, rows: int) -> Number:
    def trace() -> Step:
        source = "counted over the rows of the factor matrix"
        parts = (
            Step("rows where it is so", float(count), "", "count", (), source, "derived"),
            Step("one over the number of rows", 1 / rows, "", "count", (), source, "derived"),
        )
        return Step(label, count * (1 / rows), "", "product", parts)

    return Number(id_, label, count * (1 / rows), "", trace)
