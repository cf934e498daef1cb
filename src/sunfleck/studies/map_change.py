"""What a meter round changes on a plan's maps, and what was read near each cut."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.studies.day import fullest
from sunfleck.studies.meter.calibration import Compared
from sunfleck.studies.slices import FieldSlice, MapSet, Mark

# So near to a cut a reading is drawn on it. [m]
NEAR = 0.05
# Less light than any meter shows has no ratio. In every channel's unit.
FAINTEST = 1e-3
AXES = {"plan": 2, "front elevation": 1, "side elevation": 0}


def change_of(before: MapSet, after: MapSet) -> MapSet:
    """Return how many times as much light there is with the readings as before.

    Parameters
    ----------
    before, after : MapSet
        Of one channel and plan, cut at the same places.

    Returns
    -------
    change : MapSet
        Its fields are ratios; NaN inside solids and where less arrives than a meter shows. Perches have no range at
        the animal's back.
    """
    slices = tuple(
        replace(now, expected=_ratio(then.expected, now.expected), marks=())
        for then, now in zip(before.slices, after.slices, strict=True)
    )
    strips = tuple(
        replace(
            now,
            expected=_ratio(then.expected, now.expected),
            back_line=_ratio(then.back_line, now.back_line),
            low=np.full_like(now.low, np.nan),
            high=np.full_like(now.high, np.nan),
        )
        for then, now in zip(before.strips, after.strips, strict=True)
    )
    return replace(after, slices=slices, strips=strips, ceiling=None, floor=None, comfort_ceiling=None)


def _ratio(before: NDArray[np.float64], after: NDArray[np.float64]) -> NDArray[np.float64]:
    told = (before > FAINTEST) & (after > FAINTEST)
    return np.where(told, after / np.where(told, before, 1.0), np.nan)


def marked(maps: MapSet, brief: Brief, compared: Sequence[Compared]) -> MapSet:
    """Return maps with what was read near their cuts.

    Parameters
    ----------
    maps : MapSet
        Not added up over a day.
    brief : Brief
        Their plan.
    compared : sequence of Compared
        Readings of a meter round, by date. Those that were not used, that cannot be right, or of which other lamps
        were lit or meshes lifted, are no measure of what is drawn.

    Returns
    -------
    maps : MapSet
        The newest reading of each place.
    """
    lit = {name for name, level in fullest(brief).levels.items() if level > 0}
    fair = [
        each
        for each in compared
        if not (each.left_out or each.odd or each.reading.lifted) and set(each.reading.lit) == lit
    ]
    slices = tuple(replace(cut, marks=tuple(_marks(cut, fair))) for cut in maps.slices)
    return replace(maps, slices=slices)


def _marks(cut: FieldSlice, compared: Sequence[Compared]) -> Iterator[Mark]:
    axis = AXES.get(cut.view)
    if axis is None:
        return
    newest = {each.reading.station: each.reading for each in compared if each.reading.quantity == cut.channel}
    pick = [k for k in range(3) if k != axis]
    for reading in newest.values():
        if abs(float(reading.point[axis]) - cut.at) <= NEAR:
            yield Mark(reading.station, reading.value, reading.point[pick])
