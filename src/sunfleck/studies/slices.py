"""What a map shows: cuts through the box and perches unrolled, as plain arrays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.geometry.boxes import Box, part_of_face
from sunfleck.geometry.chains import Chain, any_perpendicular
from sunfleck.plan.enclosure import Vent
from sunfleck.plan.solids import ledge_box
from sunfleck.studies.channels import LABELS, Channel
from sunfleck.studies.day import fullest
from sunfleck.studies.interreflection import Interior, interior_of
from sunfleck.studies.light import light_field
from sunfleck.studies.light_at import channel_at_points
from sunfleck.studies.receivers import Strip
from sunfleck.studies.setting import Setting, setting_for

OutlineKind = Literal[
    "wall", "door", "vent", "perch", "ledge", "plant", "lamp", "background", "substrate", "hide", "animal"
]
View = Literal["plan", "front elevation", "side elevation", "reach"]
MOST_ON_A_CUT = 9000
OFF_SURFACE = 0.004


@dataclass(frozen=True)
class Outline:
    """A line to draw over a cut.

    Attributes
    ----------
    label, kind : str
        What it is.
    xy : (k, 2) float
        Its points in the cut's two directions. [m]
    closed : bool
        Whether the last point joins the first.
    cut : bool
        Whether the cut passes through it; what is not cut stands before or behind.
    """

    label: str
    kind: OutlineKind
    xy: NDArray[np.float64]
    closed: bool
    cut: bool = True


@dataclass(frozen=True)
class Mark:
    """What was read near a cut.

    Attributes
    ----------
    station : str
        Where, in the reader's words.
    value : float
        In the channel's unit.
    xy : (2,) float
        In the cut's two directions. [m]
    """

    station: str
    value: float
    xy: NDArray[np.float64]


@dataclass(frozen=True)
class FieldSlice:
    """A flat cut through the box.

    Attributes
    ----------
    title, view, channel, unit : str
        What it shows.
    at : float
        Where the cut lies; NaN where all depths are seen at once. [m]
    across, up : (p,), (q,) float
        Coordinates in its two directions. [m]
    expected : (q, p) float
        The channel, turned to the brightest direction; NaN inside solids.
    across_label, up_label : str
        Names of the two directions.
    outlines : tuple of Outline
        What to draw over it.
    marks : tuple of Mark
        What was read near it.
    """

    title: str
    view: View
    channel: str
    unit: str
    at: float
    across: NDArray[np.float64]
    up: NDArray[np.float64]
    expected: NDArray[np.float64]
    across_label: str
    up_label: str
    outlines: tuple[Outline, ...]
    marks: tuple[Mark, ...] = ()


@dataclass(frozen=True)
class PerchStrip:
    """A perch's surface unrolled, and the line of the animal's back above it.

    Attributes
    ----------
    title, channel, unit : str
        What it shows.
    along : (k,) float
        Distance along the perch. [m]
    around : (j,) float
        Angle round it, 0 on top. [deg]
    expected : (j, k) float
        On the surface, facing outwards; NaN inside solids.
    back_line, low, high : (k,) float
        At the animal's back, facing up.
    """

    title: str
    channel: str
    unit: str
    along: NDArray[np.float64]
    around: NDArray[np.float64]
    expected: NDArray[np.float64]
    back_line: NDArray[np.float64]
    low: NDArray[np.float64]
    high: NDArray[np.float64]


@dataclass(frozen=True)
class MapSet:
    """All maps of one channel.

    Attributes
    ----------
    plan_name : str
        Whose maps.
    slices, strips : tuple
        Cuts and perches.
    basis : str
        What the numbers are.
    ceiling, floor : float or None
        Targets of the first animal, where the channel has them: never above within reach, and wanted
        at least where it basks.
    comfort_ceiling : float or None
        Wanted at most within reach; at or below the ceiling.
    """

    plan_name: str
    slices: tuple[FieldSlice, ...]
    strips: tuple[PerchStrip, ...]
    basis: str
    ceiling: float | None
    floor: float | None
    comfort_ceiling: float | None = None


@dataclass(frozen=True)
class _Lit:
    """What is drawn: lamps at some levels, and what the light is multiplied by."""

    channel: Channel
    name: str
    levels: dict[str, float]
    factor: float
    unit: str


# Over a day: what a second of each channel counts, and in what.
OVER_A_DAY: dict[Channel, tuple[float, str]] = {
    "uvi": (1 / 3600, "UVI h"),
    "lux": (1 / 3.6e6, "klx h"),
    "ppfd": (1e-6, "mol m-2"),
    "radiant": (1 / 3.6e6, "kWh m-2"),
}


def maps_of(
    brief: Brief,
    channel: Channel,
    interior: Interior | None = None,
    *,
    day: bool = False,
    like: MapSet | None = None,
) -> MapSet:
    """Compute the maps of one channel, in the hours in which most lamps are lit, or over the whole day.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    channel : str
        Which light. [-]
    interior : Interior, optional
        The inside of the box as it reflects, if it is there already.
    day : bool
        Whether light is added up over the hours that timers keep each lamp lit, dimmed as planned. Day doses have no
        targets, and their channel is named ``uvi-day`` and so on. [-]
    like : MapSet, optional
        Cut where these are cut, wherever the basking place now is.

    Returns
    -------
    maps : MapSet
        Three cuts through the basking place (or the middle of the box), what is within reach, and every perch.
    """
    lit = fullest(brief)
    animal = brief.animals[0]
    interior = interior or interior_of(brief)
    setting = setting_for(brief, animal, lit, interior)
    place = setting.basking_place()
    inside = brief.surroundings.inside
    middle = (inside.low + inside.high) / 2
    if place is not None:
        middle = setting.light.points[setting.receivers(place)].mean(axis=0)
    if like is not None:
        middle = np.array([like.slices[2].at, like.slices[1].at, like.slices[0].at])
    drawn = _Lit(channel, channel, lit.levels, 1.0, "")
    told = lit.words()
    if day:
        seconds = {f.name: sum(off - on for on, off in f.hours) for f in brief.fixtures}
        factor, unit = OVER_A_DAY[channel]
        drawn = _Lit(channel, f"{channel}-day", seconds, factor, unit)
        told = "added up over the day as timers light the lamps"
    slices = tuple(_cut(brief, interior, drawn, axis, float(middle[axis])) for axis in (2, 1, 0))
    strips = tuple(
        _unrolled(setting, drawn, index, chain) for index, chain in enumerate(brief.surroundings.branches)
    )
    if not day:
        slices = (*slices, *_within_reach(setting, channel))
    basis = (
        f"expected {LABELS[channel]}, {told}; reflected light included; "
        "cuts are turned to the brightest direction, perch surfaces face outwards, the back faces up"
    )
    uv = channel == "uvi" and not day
    return MapSet(
        plan_name=brief.plan.name,
        slices=slices,
        strips=strips,
        basis=basis,
        ceiling=animal.uv_ceiling.value if uv and animal.uv_ceiling else None,
        floor=animal.uv_floor.value if uv and animal.uv_floor else None,
        comfort_ceiling=animal.uv_comfort_ceiling.value if uv and animal.uv_comfort_ceiling else None,
    )


_VIEWS: dict[int, tuple[View, str, str, str]] = {
    2: ("plan", "z", "x, to the right", "y, to the back"),
    1: ("front elevation", "y", "x, to the right", "z, up"),
    0: ("side elevation", "x", "y, to the back", "z, up"),
}


def _cut(brief: Brief, interior: Interior, drawn: _Lit, axis: int, at: float) -> FieldSlice:
    inside = brief.surroundings.inside
    first, second = (k for k in range(3) if k != axis)
    size = inside.high - inside.low
    step = float(np.sqrt(size[first] * size[second] / MOST_ON_A_CUT))
    counts = [max(8, round(size[k] / step)) for k in (first, second)]
    across, up = (
        inside.low[k] + (np.arange(n) + 0.5) * size[k] / n
        for k, n in zip((first, second), counts, strict=True)
    )
    gx, gy = np.meshgrid(across, up)
    points = np.zeros((gx.size, 3))
    points[:, first], points[:, second], points[:, axis] = gx.ravel(), gy.ravel(), at
    light = channel_at_points(brief, points, "brightest", drawn.levels, interior, drawn.channel)
    view, name, across_label, up_label = _VIEWS[axis]
    return FieldSlice(
        title=f"{view.capitalize()}, cut at {name}",
        view=view,
        channel=drawn.name,
        unit=drawn.unit or light.unit,
        at=at,
        across=across,
        up=up,
        expected=drawn.factor * light.median.reshape(gx.shape),
        across_label=across_label,
        up_label=up_label,
        outlines=tuple(outlines_at(brief, axis, at)),
    )


def _within_reach(setting: Setting, channel: Channel) -> Iterator[FieldSlice]:
    """The strongest light wherever the animal gets, seen from the front through all depths, every lamp on."""
    receivers = setting.everywhere
    if not len(receivers):
        return
    inside, points = setting.brief.surroundings.inside, setting.light.points[receivers]
    field = setting.channel(channel, "brightest", all_lamps=True)
    values = field.middle[receivers]
    known = np.isfinite(values)
    size = inside.high - inside.low
    counts = [max(4, int(size[k] / (1.2 * setting.reach.spacing))) for k in (0, 2)]
    cell = [
        np.clip(((points[known, k] - inside.low[k]) / size[k] * n).astype(int), 0, n - 1)
        for k, n in zip((0, 2), counts, strict=True)
    ]
    strongest = np.full((counts[1], counts[0]), -np.inf)
    np.maximum.at(strongest, (cell[1], cell[0]), values[known])
    across, up = (
        inside.low[k] + (np.arange(n) + 0.5) * size[k] / n for k, n in zip((0, 2), counts, strict=True)
    )
    yield FieldSlice(
        title="Within reach, from the front",
        view="reach",
        channel=channel,
        unit=field.unit,
        at=float("nan"),
        across=across,
        up=up,
        expected=np.where(np.isfinite(strongest), strongest, np.nan),
        across_label="x, to the right",
        up_label="z, up",
        outlines=tuple(outlines_at(setting.brief, 1, float(inside.low[1] + size[1] / 2))),
    )


def outlines_at(brief: Brief, axis: int, at: float) -> list[Outline]:
    """Return what stands in the box seen along an axis, and whether a cut there passes through it."""
    plan, around = brief.plan, brief.surroundings
    pick = [k for k in range(3) if k != axis]
    lines = [_box_outline("", "wall", around.inside, axis, at)]
    panels = zip(plan.backgrounds, around.blocks, strict=False)
    lines += [_box_outline(panel.name, "background", block, axis, at) for panel, block in panels]
    lines += [_box_outline(ledge.name, "ledge", ledge_box(ledge), axis, at) for ledge in plan.ledges]
    lines += [_box_outline(hide.name, "hide", ledge_box(hide), axis, at) for hide in plan.hides]
    if plan.substrate is not None and pick[1] == 2:
        width = around.inside.high[pick[0]]
        ground = np.array([[0.0, around.ground], [width, around.ground]])
        lines.append(Outline("ground", "substrate", ground, closed=False))
    for part in plan.enclosure.openings:
        rectangle = part_of_face(around.inside.low, around.inside.high, part.face, part.at, part.size)
        corners = np.array([rectangle.origin, rectangle.origin + rectangle.edge_u + rectangle.edge_v])
        flat = corners[:, pick]
        if np.ptp(flat, axis=0).min() < 1e-9:
            kind: OutlineKind = "vent" if isinstance(part, Vent) else "door"
            lines.append(Outline(part.name, kind, flat, closed=False, cut=_passes(corners, axis, at)))
    for perch, chain in zip(plan.perches, around.branches, strict=True):
        through = _passes(chain.triangles().reshape(-1, 3), axis, at)
        lines.append(Outline(perch.name, "perch", _silhouette(chain, pick), closed=True, cut=through))
    turn = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    for plant in plan.plants:
        middle = np.array(plant.crown.middle)
        half = np.array([plant.crown.radius, plant.crown.radius, plant.crown.height / 2])
        ring = middle[pick] + half[pick] * np.stack([np.cos(turn), np.sin(turn)], axis=1)
        through = _passes(np.array([middle - half, middle + half]), axis, at)
        lines.append(Outline(plant.name, "plant", ring, closed=True, cut=through))
    for fixture in brief.fixtures:
        box = Box(fixture.axis.min(axis=0) - fixture.radius, fixture.axis.max(axis=0) + fixture.radius)
        lines.append(_box_outline(fixture.name, "lamp", box, axis, at))
    return lines


def _box_outline(label: str, kind: OutlineKind, box: Box, axis: int, at: float) -> Outline:
    pick = [k for k in range(3) if k != axis]
    (x0, y0), (x1, y1) = box.low[pick], box.high[pick]
    corners = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
    return Outline(label, kind, corners, closed=True, cut=_passes(np.array([box.low, box.high]), axis, at))


def _passes(points: NDArray[np.float64], axis: int, at: float) -> bool:
    """Whether a part that has these points (k, 3) among its outermost reaches across the cut. [m]"""
    return bool(points[:, axis].min() <= at <= points[:, axis].max())


def _silhouette(chain: Chain, pick: list[int]) -> NDArray[np.float64]:
    path = chain.path[:, pick]
    step = np.gradient(path, axis=0)
    length = np.linalg.norm(step, axis=1, keepdims=True)
    step = np.where(length > 1e-9, step / np.maximum(length, 1e-9), np.array([1.0, 0.0]))
    side = np.stack([-step[:, 1], step[:, 0]], axis=1) * chain.radius[:, None]
    return np.concatenate([path + side, (path - side)[::-1]])


def _unrolled(setting: Setting, drawn: _Lit, index: int, chain: Chain) -> PerchStrip:
    strip: Strip = setting.strips[index]
    count = strip.shape[1]
    along = np.asarray((np.arange(count) + 0.5) * strip.step[1], dtype=np.float64)
    around = np.linspace(-180.0, 180.0, 25)
    axis, direction, radius = chain.at(along)
    top = np.array([0.0, 0.0, 1.0]) - direction[:, 2:] * direction
    flat = np.linalg.norm(top, axis=1) < 1e-6
    for k in np.flatnonzero(flat):
        top[k] = any_perpendicular(direction[k])
    top /= np.linalg.norm(top, axis=1, keepdims=True)
    side = np.cross(direction, top)
    turn = np.deg2rad(around)[:, None, None]
    normals = np.cos(turn) * top + np.sin(turn) * side
    # Receivers keep clear of the flat facets that stand in for the round branch.
    points = axis + normals * (radius * 1.02 + OFF_SURFACE)[:, None]
    field = light_field(setting.brief, points.reshape(-1, 3), normals.reshape(-1, 3), setting.light.interior)
    surface = field.channel(drawn.channel, "normal", drawn.levels)
    expected = np.where(np.isnan(field.points[:, 0]), np.nan, surface.middle)
    inside = setting.brief.surroundings.inside.contains(points.reshape(-1, 3))
    expected = np.where(inside, expected, np.nan)
    at_back = channel_at_points(
        setting.brief, strip.points, "up", drawn.levels, setting.light.interior, drawn.channel
    )
    return PerchStrip(
        title=strip.name,
        channel=drawn.name,
        unit=drawn.unit or surface.unit,
        along=along,
        around=around,
        expected=drawn.factor * expected.reshape(len(around), count),
        # Where the back would be in a wall or a branch there is no line.
        back_line=np.where(strip.valid, drawn.factor * at_back.median, np.nan),
        low=np.where(strip.valid, drawn.factor * at_back.low, np.nan),
        high=np.where(strip.valid, drawn.factor * at_back.high, np.nan),
    )
