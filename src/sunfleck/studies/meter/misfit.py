"""Readings that contradict each other more than their errors explain: the box is not as written, and ranges say so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.draws import standard_normals
from sunfleck.brief.factors import SEED, Factor, FactorPower

Floats = NDArray[np.float64]

SEED_OF_MISFIT = SEED + 5
# One reading may be a slip of the hand; if the rest scatter by more than they should, or another is so many standard
# deviations off, the plan is wrong. [-]
FEWEST, SCATTERED, TOO_FAR = 2, 1.2, 2.2
NINE_OF_TEN = 1.645


def misfit(apart: Floats, spreads: Floats, odd: NDArray[np.bool_]) -> float:
    """Return by how much readings contradict each other beyond their errors.

    Parameters
    ----------
    apart : (n,) float
        Of each from what is expected, as logarithms. [-]
    spreads : (n,) float
        One standard deviation of its own error. [-]
    odd : (n,) bool
        Which cannot be right beside the others: the farthest of these is taken for a slip and left out.

    Returns
    -------
    spread : float
        Of what the plan does not know, as a logarithm; 0 where the errors explain them. [-]
    """
    kept = np.ones(len(apart), dtype=bool)
    if odd.any():
        kept[int(np.argmax(np.abs(apart / spreads) * odd))] = False
    if int(kept.sum()) < FEWEST:
        return 0.0
    off = np.abs(apart[kept] / spreads[kept])
    if float(np.sqrt(np.mean(off**2))) <= SCATTERED and float(off.max()) <= TOO_FAR:
        return 0.0
    # So wide that the farthest of those kept lies within nine of ten worlds.
    return max(float(np.sqrt(np.mean(apart[kept] ** 2))), float(np.abs(apart[kept]).max()) / NINE_OF_TEN)


def with_misfit(brief: Brief, of_channels: Mapping[str, tuple[Floats, Floats, NDArray[np.bool_]]]) -> Brief:
    """Widen what the readings leave by what they contradict each other by.

    Parameters
    ----------
    brief : Brief
        As the readings leave it.
    of_channels : mapping of str to ((n,) float, (n,) float, (n,) bool)
        By kind of light: how far readings are from what is expected, their own errors, and which cannot be right.

    Returns
    -------
    brief : Brief
        The same where the readings agree; else every lamp's light of that kind has one factor more, the same for all.
    """
    found = {kind: spread for kind, each in of_channels.items() if (spread := misfit(*each)) > 0}
    if not found:
        return brief
    matrix = brief.matrix
    drawn = standard_normals(matrix.rows, len(found), SEED_OF_MISFIT, shuffled=True)
    columns = {kind: len(matrix.factors) + k for k, kind in enumerate(found)}
    factors = tuple(_factor(kind, spread) for kind, spread in found.items())
    fixtures = []
    for fixture in brief.fixtures:
        outputs = dict(fixture.outputs)
        for kind in found:
            if kind in outputs:
                power = FactorPower(columns[kind])
                outputs[kind] = replace(outputs[kind], factors=(*outputs[kind].factors, power))
        fixtures.append(replace(fixture, outputs=outputs))
    return replace(brief, fixtures=tuple(fixtures), matrix=matrix.joined(factors, drawn))


def _factor(kind: str, spread: float) -> Factor:
    return Factor(
        id=f"misfit:{kind}",
        label="what the plan does not know of this box: readings contradict each other",
        spread_low=spread,
        spread_high=spread,
        source=f"readings scatter by {spread:.0%} round what lamps and meshes as written could give, a single slip left out",
        basis="measured",
    )
