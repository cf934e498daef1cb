"""Light behind leaves: a part that varies with how many there are, and gaps that open where some are gone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.factors import FactorPower
from sunfleck.brief.leaves import GONE
from sunfleck.studies.channels import Term

OPENED = "leaves gone, half of what half of them opens"


def behind_leaves(
    brief: Brief, direct: Mapping[tuple[int, int], Term], thinned: Mapping[tuple[int, int], Term]
) -> tuple[list[Term], list[Term]]:
    """Split direct light into what leaves do not touch and what varies with them.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    direct : mapping of (int, int) to Term
        Direct light as planned, by fixture and mask of what it crossed.
    thinned : mapping of (int, int) to Term
        The same with two standard deviations of the leaves gone.

    Returns
    -------
    terms : list of Term
        They add up to the direct light; what varies with the leaves has their factor.
    opened : list of Term
        One-sided shifts: what is gained, beyond that, where leaves go.

    Notes
    -----
    Where a share T of a lamp's light gets through leaves spread at random, T to the power of 1 - s gets through with
    a share s of them gone (Beer's law), so the light behind leaves is multiplied by the same number for every s, more
    where they are dense. A part of it given by what half of them opens therefore stands for all of it as a multiplier.
    """
    leaves = brief.surroundings.leaves
    if leaves is None:
        return list(direct.values()), []
    terms, opened = [], []
    for way, term in direct.items():
        other = thinned.get(way, term)
        gain = np.nan_to_num(np.maximum(other.geometry - term.geometry, 0.0))
        varies = np.minimum(np.nan_to_num(term.geometry), gain / GONE)
        if not varies.any() and not gain.any():
            terms.append(term)
            continue
        factors = (*term.factors, FactorPower(leaves.column))
        terms += [
            replace(term, geometry=term.geometry - varies),
            replace(term, geometry=varies, factors=factors),
        ]
        beyond = np.maximum(gain - np.expm1(GONE) * varies, 0.0) / 2
        opened.append(_opened(term, beyond, leaves.lost))
    # Light that, as planned, gets nowhere through these media.
    new = [term for way, term in thinned.items() if way not in direct]
    opened += [_opened(term, np.nan_to_num(term.geometry) / 2, leaves.lost) for term in new]
    return terms, [term for term in opened if term.geometry.any()]


def _opened(term: Term, gain: NDArray[np.float64], lost: int) -> Term:
    return replace(term, geometry=gain, factors=(*term.factors, FactorPower(lost)), shift=OPENED)
