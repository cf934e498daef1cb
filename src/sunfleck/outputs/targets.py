"""The wanted range of a set of maps: values, line patterns and meaning."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.scales import number_words
from sunfleck.outputs.themes import CEILING_DASHES, COMFORT_DASHES, FLOOR_DASHES, Dashes

if TYPE_CHECKING:
    from sunfleck.studies.slices import MapSet

SAME = 1e-9  # as a share; a ceiling and a wish this close are one target
# Islands of a floor smaller than this share of the picture's width are leaf edges, not information.
SHORTEST_FLOOR = 0.08
# A ceiling is crossed wherever it is crossed.
SHORTEST_CEILING = 0.0


@dataclass(frozen=True, slots=True)
class Target:
    """One wanted limit.

    Attributes
    ----------
    value : float
        In the channel's unit.
    upper : bool
        Whether less is wanted rather than more.
    dashes : tuple
        Its line's pattern. [pt]
    shortest : float
        Shorter lines are left out, as a share of the picture's width.
    words : str
        What it means.
    """

    value: float
    upper: bool
    dashes: Dashes
    shortest: float
    words: str

    def note(self, field: NDArray[np.float64]) -> str:
        """Say in words where the target has no line because a field never crosses it; else nothing."""
        values = field[np.isfinite(field)]
        if not len(values):
            return ""
        if self.upper:
            kept = bool(values.max() <= self.value)
            return "nowhere here" if kept else "everywhere here" if values.min() > self.value else ""
        met = bool(values.min() >= self.value)
        return "everywhere here" if met else "nowhere here" if values.max() < self.value else ""


def targets_of(maps: MapSet, channel: str) -> tuple[Target, ...]:
    """Return a set's targets, lowest meaning first: floor, wanted at most, never above.

    Parameters
    ----------
    maps : MapSet
        The set.
    channel : str
        Decides the digits. [-]

    Returns
    -------
    targets : tuple of Target
        Those that are given. What is wanted at most is left out where it is the ceiling itself.
    """
    floor, comfort, ceiling = maps.floor, maps.comfort_ceiling, maps.ceiling
    found = []
    if floor is not None:
        words = f"floor: wanted at least {number_words(floor, channel)} where it basks"
        found.append(Target(floor, False, FLOOR_DASHES, SHORTEST_FLOOR, words))
    if comfort is not None and (ceiling is None or abs(comfort - ceiling) > SAME * abs(ceiling)):
        words = f"comfort: wanted at most {number_words(comfort, channel)} within reach"
        found.append(Target(comfort, True, COMFORT_DASHES, SHORTEST_CEILING, words))
    if ceiling is not None:
        words = f"ceiling: never above {number_words(ceiling, channel)} within reach"
        found.append(Target(ceiling, True, CEILING_DASHES, SHORTEST_CEILING, words))
    return tuple(found)


def values_of(targets: Sequence[Target]) -> tuple[float, ...]:
    """Return the targets' values, in their order."""
    return tuple(target.value for target in targets)
