"""Light on what a picture of the box shows: backs on everything the animal rests on, a cut, what is within reach."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.animals import AnimalBrief
from sunfleck.brief.build import Brief
from sunfleck.studies.channels import Channel
from sunfleck.studies.interreflection import Grain, Interior
from sunfleck.studies.light import LightField, light_field
from sunfleck.studies.reach import reach_of
from sunfleck.studies.receivers import Strip, clear_of_lamps, standing_strips

Floats = NDArray[np.float64]

UP = (0.0, 0.0, 1.0)
Axis = Literal["x", "y", "z"]
AXES: dict[Axis, int] = {"x": 0, "y": 1, "z": 2}
# Receivers keep clear of surfaces. [m]
OFF_THE_WALL = 0.005
# While something is dragged: every number is computed, at fewer places and with fewer rays of what is reflected.
WHILE_DRAGGED = Grain(1 / 6, 160, 32, 1024, 32, 32, chords=8, shaded=False)


@dataclass(frozen=True)
class Fineness:
    """At how many places a picture is computed.

    Attributes
    ----------
    on_a_cut : int
        About how many on a cut. [-]
    stride : int
        Every how many-th place along a perch. [-]
    on_a_floor : int
        At most on the ground, a ledge or in a hide. [-]
    reach : bool
        Whether what is within reach is wanted. [-]
    """

    on_a_cut: int
    stride: int
    on_a_floor: int
    reach: bool


SETTLED = Fineness(3600, 1, 1200, reach=True)
DRAGGED = Fineness(120, 6, 60, reach=False)


@dataclass(frozen=True)
class Cut:
    """A flat cut through the box, square to an axis.

    Attributes
    ----------
    axis : str
        ``x``, ``y`` or ``z``.
    at : float
        Where. [m]
    """

    axis: Axis
    at: float


@dataclass(frozen=True, eq=False)
class OnACut:
    """The places of a cut.

    Attributes
    ----------
    cut : Cut
        Which.
    across, up : (p,), (q,) float
        Coordinates in its two directions, those of x, y, z that are left, in this order. [m]
    points : (q p, 3) float
        The places, row by row. [m]
    """

    cut: Cut
    across: Floats
    up: Floats
    points: Floats


@dataclass(frozen=True, eq=False)
class ShownLight:
    """Light at the places of a picture.

    Attributes
    ----------
    brief : Brief
        The plan.
    strips : tuple of Strip
        What the animal can rest on, with the places of its back.
    on_cut : OnACut or None
        The cut, if one is wanted.
    along : tuple of ((n,) float or None)
        For each strip how far along its perch the places lie; None where it is a floor. [m]
    reach : (k, 3) float
        Where its back can get to; none where that is not wanted. [m]
    light : LightField
        At all strips' places, then the cut's, then those of the reach.
    fineness : Fineness
        At how many places.
    standing : tuple
        The strips as if no lamp hung in the way, each with its entry of `along`.
    """

    brief: Brief
    strips: tuple[Strip, ...]
    along: tuple[Floats | None, ...]
    on_cut: OnACut | None
    reach: Floats
    light: LightField
    fineness: Fineness
    standing: tuple[tuple[Strip, Floats | None], ...]

    def backs(self, channel: Channel, levels: Mapping[str, float]) -> tuple[Floats, ...]:
        """Expected light at the places of each strip, (n,) each, facing up; NaN where the animal cannot be."""
        found, start = [], 0
        values = self.light.expected(channel, "normal", levels)
        for strip in self.strips:
            part = values[start : start + len(strip.points)]
            found.append(np.where(strip.valid, part, np.nan))
            start += len(strip.points)
        return tuple(found)

    def elsewhere(self, channel: Channel, levels: Mapping[str, float]) -> tuple[Floats, Floats]:
        """Expected light, turned to where most comes from: on the cut (q, p) and within reach (k,); NaN in solids."""
        start = sum(len(strip.points) for strip in self.strips)
        values = self.light.expected(channel, "brightest", levels)[start:]
        if self.on_cut is None:
            return np.zeros((0, 0)), values
        shape = (len(self.on_cut.up), len(self.on_cut.across))
        count = shape[0] * shape[1]
        return values[:count].reshape(shape), values[count:]


def shown_light(
    brief: Brief,
    animal: AnimalBrief | None,
    interior: Interior,
    cut: Cut | None,
    fineness: Fineness = SETTLED,
    before: ShownLight | None = None,
) -> ShownLight:
    """Compute the light of a picture.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    animal : AnimalBrief, optional
        Whose back it is.
    interior : Interior
        The inside of the box as it reflects.
    cut : Cut, optional
        Where the box is cut.
    fineness : Fineness
        At how many places.
    before : ShownLight, optional
        The same picture before lamps were moved: what is the same is taken over. [-]

    Returns
    -------
    shown : ShownLight
        For all channels and hours.
    """
    standing = _standing(brief, animal, fineness, before)
    along = tuple(places for _, places in standing)
    strips = clear_of_lamps(brief, [strip for strip, _ in standing]) if standing else ()
    on_cut = places_of(brief, cut, fineness.on_a_cut) if cut is not None else None
    reach = reach_of(brief, animal).points if animal and fineness.reach else np.zeros((0, 3))
    places = [strip.points for strip in strips]
    if on_cut is not None:
        places.append(on_cut.points)
    points = np.concatenate([np.zeros((0, 3)), *places, reach])
    light = light_field(brief, points, UP, interior, before.light if before is not None else None)
    return ShownLight(brief, strips, along, on_cut, reach, light, fineness, standing)


def _standing(
    brief: Brief, animal: AnimalBrief | None, fineness: Fineness, before: ShownLight | None
) -> tuple[tuple[Strip, Floats | None], ...]:
    """What the animal can rest on, at fewer places, taken over where only lamps have moved."""
    if animal is None:
        return ()
    same = (
        before is not None and before.fineness == fineness and before.brief.plan.animals == brief.plan.animals
    )
    if before is not None and same and before.brief.surroundings is brief.surroundings:
        return before.standing
    return tuple(_thinned(strip, fineness) for strip in standing_strips(brief, animal))


def levels_at(brief: Brief, seconds: float) -> dict[str, float]:
    """Return the lamps that are lit at a time of day, at full level.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    seconds : float
        Time of day. [s]

    Returns
    -------
    levels : dict of str to float
        By name, as `LightField` takes them. [-]
    """
    return {fixture.name: 1.0 for fixture in brief.fixtures if fixture.lit_at(seconds)}


def places_of(brief: Brief, cut: Cut, about: int) -> OnACut:
    """Return the places of a cut.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    cut : Cut
        Which; one outside of the box is put at its wall.
    about : int
        How many are wanted. [-]

    Returns
    -------
    on_cut : OnACut
        In cells of about one size.
    """
    inside, axis = brief.surroundings.inside, AXES[cut.axis]
    first, second = (k for k in range(3) if k != axis)
    size = inside.high - inside.low
    step = float(np.sqrt(size[first] * size[second] / about))
    counts = [max(6, round(size[k] / step)) for k in (first, second)]
    across, up = (
        inside.low[k] + (np.arange(n) + 0.5) * size[k] / n
        for k, n in zip((first, second), counts, strict=True)
    )
    at = float(np.clip(cut.at, inside.low[axis] + OFF_THE_WALL, inside.high[axis] - OFF_THE_WALL))
    gx, gy = np.meshgrid(across, up)
    points = np.zeros((gx.size, 3))
    points[:, first], points[:, second], points[:, axis] = gx.ravel(), gy.ravel(), at
    return OnACut(Cut(cut.axis, at), across, up, points)


def _thinned(strip: Strip, fineness: Fineness) -> tuple[Strip, Floats | None]:
    """The strip with fewer places, and how far along a perch they lie."""
    rows, columns = strip.shape
    if strip.kind == "perch":
        chosen = np.arange(0, columns, fineness.stride)
        along = np.asarray((chosen + 0.5) * strip.step[1], dtype=np.float64)
        step = (0.0, strip.step[1] * fineness.stride)
        return _some(strip, chosen, (1, len(chosen)), step), along
    stride = max(1, int(np.ceil(np.sqrt(rows * columns / fineness.on_a_floor))))
    r, c = np.arange(stride // 2, rows, stride), np.arange(stride // 2, columns, stride)
    chosen = (r[:, None] * columns + c[None, :]).ravel()
    return _some(strip, chosen, (len(r), len(c)), (strip.step[0] * stride, strip.step[1] * stride)), None


def _some(
    strip: Strip, chosen: NDArray[np.int64], shape: tuple[int, int], step: tuple[float, float]
) -> Strip:
    return replace(strip, points=strip.points[chosen], shape=shape, step=step, valid=strip.valid[chosen])
