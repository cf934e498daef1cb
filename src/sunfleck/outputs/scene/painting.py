"""Light as colours over a scene: perches and floors, a cut with its lines of equal light, what is within reach."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.contours import lines_at
from sunfleck.outputs.scales import ColourScale, level_words
from sunfleck.outputs.scene.parts import Cloud, Colours, IsoLine, Item, Paint, Scene, Section
from sunfleck.outputs.themes import FIELD_COLOURS
from sunfleck.studies.channels import Channel
from sunfleck.studies.receivers import Strip
from sunfleck.studies.shown import AXES, OnACut, ShownLight

Floats = NDArray[np.float64]

# How opaque a cut is: what stands behind it is still to be seen.
OPAQUE = 225
# Places where a back cannot be have the colour of nothing in particular.
NOT_THERE = (128, 128, 124)
# Islands smaller than this share of the cut's width are leaf edges, not information.
SHORTEST_LINE = 0.12
MOST_LINES = 40
UPWARDS = 0.7
LIGHT_INK, DARK_INK = "#ffffff", "#14202b"


def painted(
    shown: ShownLight,
    scene: Scene,
    channel: Channel,
    levels: Mapping[str, float],
    scale: ColourScale,
    *,
    reach: bool,
    lines: bool = True,
) -> Paint:
    """Return one channel at one hour as colours over a scene.

    Parameters
    ----------
    shown : ShownLight
        The light.
    scene : Scene
        What is drawn.
    channel : str
        ``uvi``, ``lux``, ``ppfd`` or ``radiant``. [-]
    levels : mapping of str to float
        Lamps that are lit. [-]
    scale : ColourScale
        Colours from zero to its top.
    reach : bool
        Whether the points that the animal's back can get to are wanted.
    lines : bool
        Whether lines of equal light are wanted on the cut.

    Returns
    -------
    paint : Paint
        Perches ring by ring, the tops of ground, ledges and hides corner by corner.
    """
    backs = shown.backs(channel, levels)
    on_cut, within = shown.elsewhere(channel, levels)
    items = {item.key: item for item in scene.items}
    colours: dict[str, Colours] = {}
    for strip, along, values in zip(shown.strips, shown.along, backs, strict=True):
        item = items.get(strip.on)
        if item is None:
            continue
        if along is not None and item.along is not None:
            colours[item.key] = _rings(item.along, along, values, scale)
        elif along is None:
            colours[item.key] = _top(item, strip, values, scale)
    section: Section | None = None
    equal: tuple[IsoLine, ...] = ()
    if shown.on_cut is not None:
        section = _section(shown.on_cut, on_cut, scale)
        equal = _lines(shown.on_cut, on_cut, scale) if lines else ()
    cloud = Cloud(shown.reach.astype(np.float32), coloured(within, scale)) if reach and len(within) else None
    return Paint(colours, section, equal, cloud)


def values_shown(
    shown: ShownLight, channel: Channel, levels: Mapping[str, float]
) -> tuple[list[Floats], list[Floats]]:
    """Return the fields that a scale is to serve: those of cuts, and those of backs."""
    return [shown.elsewhere(channel, levels)[0]], list(shown.backs(channel, levels))


def coloured(values: Floats, scale: ColourScale) -> Colours:
    """Return colours (..., 3) of values (...,) on a scale; those that are not known in grey."""
    known = np.isfinite(values)
    share = np.clip(np.where(known, values, 0.0) / scale.top, 0.0, 1.0)
    found = colour_table()[np.rint(share * 255).astype(np.intp)]
    found[~known] = NOT_THERE
    return np.asarray(found, dtype=np.uint8)


@cache
def colour_table() -> Colours:
    """The 256 colours of a field (256, 3), dark for little."""
    from matplotlib import colormaps  # noqa: PLC0415  # an extra

    table = np.asarray(colormaps[FIELD_COLOURS](np.linspace(0.0, 1.0, 256)))[:, :3]
    return np.asarray(np.rint(255 * table), dtype=np.uint8)


def _rings(rings: NDArray[np.float32], along: Floats, values: Floats, scale: ColourScale) -> Colours:
    """Colours (r, 3) of a perch's rings from values at places along it."""
    known = np.isfinite(values)
    if not known.any():
        return coloured(np.full(len(rings), np.nan), scale)
    found = np.interp(rings, along[known], values[known])
    nearest = np.abs(rings[:, None] - along[None, :]).argmin(axis=1)
    return coloured(np.where(known[nearest], found, np.nan), scale)


def _top(item: Item, strip: Strip, values: Floats, scale: ColourScale) -> Colours:
    """Colours of a block's corners: light on what faces up, the material elsewhere."""
    mesh = item.mesh
    up = mesh.normals[:, 2] > UPWARDS
    found = mesh.tints.copy()
    rows, columns = strip.shape
    places = strip.points.reshape(rows, columns, 3)
    x, y = places[0, :, 0], places[:, 0, 1]
    column = _between(x, mesh.positions[up, 0])
    row = _between(y, mesh.positions[up, 1])
    found[up] = coloured(_bilinear(values.reshape(rows, columns), row, column), scale)
    return found


def _between(knots: Floats, at: NDArray[np.float32]) -> Floats:
    """Place among evenly spaced knots, in steps from the first; the ends hold."""
    return np.asarray(np.interp(at, knots, np.arange(len(knots), dtype=np.float64)))


def _bilinear(grid: Floats, row: Floats, column: Floats) -> Floats:
    r, c = np.floor(row).astype(int), np.floor(column).astype(int)
    r1, c1 = np.minimum(r + 1, grid.shape[0] - 1), np.minimum(c + 1, grid.shape[1] - 1)
    u, v = row - r, column - c
    corners = np.stack([grid[r, c], grid[r1, c], grid[r, c1], grid[r1, c1]])
    weights = np.stack([(1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v])
    known = np.isfinite(corners)
    total = np.where(known, weights, 0.0).sum(axis=0)
    found = np.where(known, corners * weights, 0.0).sum(axis=0)
    # Where the nearer half is not known, nothing is.
    return np.where(total > 0.5, found / np.where(total > 0, total, 1.0), np.nan)


def _section(on_cut: OnACut, values: Floats, scale: ColourScale) -> Section:
    picture = np.full((*values.shape, 4), OPAQUE, dtype=np.uint8)
    picture[..., :3] = coloured(values, scale)
    picture[~np.isfinite(values), 3] = 0
    low, high = zip(*(_extent(places) for places in (on_cut.across, on_cut.up)), strict=True)
    axis = on_cut.cut.axis
    return Section(axis, on_cut.cut.at, low, high, picture)


def _extent(places: Floats) -> tuple[float, float]:
    half = float(places[1] - places[0]) / 2
    return float(places[0]) - half, float(places[-1]) + half


def _lines(on_cut: OnACut, values: Floats, scale: ColourScale) -> tuple[IsoLine, ...]:
    """Lines of equal light at the scale's round levels, the longest of each with its number."""
    width = float(on_cut.across[-1] - on_cut.across[0])
    found: list[IsoLine] = []
    for level in scale.levels:
        # Light lines on the dark half of the scale, dark lines on the light half.
        ink = LIGHT_INK if level / scale.top < 0.55 else DARK_INK
        lines: Sequence[Floats] = lines_at(on_cut.across, on_cut.up, values, level, SHORTEST_LINE * width)
        for number, line in enumerate(lines):
            words = level_words(level) if number == 0 else ""
            found.append(IsoLine(_in_space(on_cut, line), words, ink))
    return tuple(found[:MOST_LINES])


def _in_space(on_cut: OnACut, line: Floats) -> NDArray[np.float32]:
    axis = AXES[on_cut.cut.axis]
    first, second = (k for k in range(3) if k != axis)
    points = np.full((len(line), 3), on_cut.cut.at, dtype=np.float32)
    points[:, first], points[:, second] = line[:, 0], line[:, 1]
    return points
