"""Which uncertain factors make a range as wide as it is, and what to read to narrow it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.factors import Factor, FactorMatrix
from sunfleck.studies.trace import Number, Step, number_of_step

# A factor that makes less of a range than this is not worth a line. [-]
WORTH_NAMING = 0.08
MOST_NAMED = 3
METHOD = (
    "square of the correlation between the logarithm of the quantity and that of the factor over the rows of the factor "
    "matrix, whose columns are independent"
)
# What narrows a range, by the group of the factor that makes it wide.
BARE = (
    "read the bare lamp 30 cm below its middle, warmed up, without guard or mesh, and write that into the plan "
    "(evidence: [{distance: 30 cm, uvi: ..., with: your meter}])"
)
READ = {
    "class": BARE,
    "piece": BARE,
    "ageing": BARE,
    "meter": "read the lamp with a second meter, or with one of stated accuracy (meters: [{name: ..., accuracy: 5 %}])",
    "hand": "read the bare lamp at two or three more distances",
    "medium": "read the lamp once more through the mesh or guard (through: [...])",
    "leaves": "read at the place itself once the plants stand, and again as they grow",
    "mounting": "measure how the lamp hangs to the centimetre, or read at the place itself once it hangs",
    "beam": "read at the place itself once the lamp hangs",
    "reflection": "read at the place itself once the walls are finished",
}


@dataclass(frozen=True)
class Cause:
    """One factor and its share of a range."""

    factor: Factor
    share: float


def causes_of(values: NDArray[np.float64], matrix: FactorMatrix) -> tuple[Cause, ...]:
    """Return the factors that make most of a quantity's range, the largest share first.

    Parameters
    ----------
    values : (rows,) float
        The quantity in every row; zeros and below are left out.
    matrix : FactorMatrix
        The rows.

    Returns
    -------
    causes : tuple of Cause
        At most three, each of at least 8 % of the variance of the logarithm.
    """
    sound = values > 0
    if sound.sum() < matrix.rows / 2 or not len(matrix.factors):
        return ()
    logs = np.log(values[sound])
    columns = matrix.multipliers[sound].copy()
    shifts = np.array([factor.shift for factor in matrix.factors])
    columns[:, ~shifts] = np.log(columns[:, ~shifts])
    spread, own = columns.std(axis=0), logs.std()
    if own < 1e-9:  # nothing varies
        return ()
    together = (columns - columns.mean(axis=0)).T @ (logs - logs.mean()) / len(logs)
    share = (together / np.where(spread > 0, spread * own, np.inf)) ** 2
    order = np.argsort(-share)[:MOST_NAMED]
    return tuple(Cause(matrix.factors[k], float(share[k])) for k in order if share[k] >= WORTH_NAMING)


def cause_numbers(id_: str, causes: tuple[Cause, ...]) -> tuple[Number, ...]:
    """Shares as numbers, ``due_1`` the largest."""
    found = []
    for k, cause in enumerate(causes, start=1):
        step = Step(
            cause.factor.label,
            cause.share,
            "",
            "computed",
            (),
            f"{METHOD}; {cause.factor.source}",
            cause.factor.basis,
            cause.factor.id,
        )
        found.append(number_of_step(f"{id_}.due_{k}", step))
    return tuple(found)


def what_to_read(causes: tuple[Cause, ...]) -> str:
    """Say what narrows a range most: advice by its greatest cause, or "" where there is none."""
    return READ.get(causes[0].factor.group, "") if causes else ""
