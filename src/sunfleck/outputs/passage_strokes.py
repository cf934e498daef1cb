"""Lines and fills of a drawn part: outlines, what of them is hidden, what a clip lets be seen."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.silhouettes import hull, outline_of

if TYPE_CHECKING:
    from matplotlib.artist import Artist
    from matplotlib.axes import Axes
    from matplotlib.path import Path

Floats = NDArray[np.float64]
Polygons = list[Floats]
LineStyle = str | tuple[float, tuple[float, ...]]

# Of more sides the line round all pieces is not worked out but traced on a grid of so many cells.
MOST_SIDES = 4000
CELLS = 160
BOX, HAIR = 0.9, 0.5  # line weights [pt]


def draw_block(
    ax: Axes, corners: Floats, fill: str, line: str, weight: float, order: float, style: LineStyle = "solid"
) -> Artist:
    """Draw a convex polygon of the box and return it."""
    from matplotlib.patches import Polygon  # noqa: PLC0415  # an extra

    drawn = Polygon(
        corners,
        closed=True,
        facecolor=fill,
        edgecolor=line,
        lw=weight,
        ls=style,
        joinstyle="miter",
        zorder=order,
    )
    ax.add_patch(drawn)
    return drawn


def corners_of(box: Floats) -> Floats:
    """Corners (8, 3) of a box from its low and high corner. [m]"""
    low, high = box
    which = np.array([[i & 1, (i >> 1) & 1, (i >> 2) & 1] for i in range(8)])
    return np.asarray(np.where(which, high, low))


def grown(polygon: Floats) -> Floats:
    """A clip a little wider than what it lets be seen, so that its line is not halved."""
    middle = polygon.mean(axis=0)
    return np.asarray(middle + 1.03 * (polygon - middle))


def draw_part(
    ax: Axes,
    polygons: Polygons,
    fill: str,
    line: str,
    weight: float,
    order: float,
    *,
    style: LineStyle = "solid",
    seen: Polygons | None = None,
    but: Polygons | None = None,
) -> None:
    """Fill and outline of a part; with `seen` only its line, and only there, but not in `but`."""
    from matplotlib.patches import PathPatch  # noqa: PLC0415  # an extra

    if not polygons:
        return
    many = sum(map(len, polygons)) > MOST_SIDES
    lines = _traced(polygons) if many else outline_of(polygons)
    shape = _path(lines)
    if fill != "none":
        ax.add_patch(PathPatch(shape, facecolor=fill, edgecolor="none", alpha=0.55, zorder=order - 0.5))
    drawn = PathPatch(
        shape, facecolor="none", edgecolor=line, lw=weight, ls=style, joinstyle="round", zorder=order
    )
    ax.add_patch(drawn)
    if seen is not None:
        show_only(ax, drawn, seen, but)


def _traced(polygons: Polygons) -> Polygons:
    """The line round convex polygons, true to about half a per cent of their extent: enough to draw, not to cut by."""
    from contourpy import contour_generator  # noqa: PLC0415  # comes with the drawing library

    points = np.concatenate(polygons)
    low, span = points.min(axis=0), float(np.ptp(points, axis=0).max())
    cell = span / CELLS
    at = np.arange(-2, CELLS + 3) * cell
    xs, ys = low[0] + at, low[1] + at
    inside = np.zeros((len(ys), len(xs)))
    for polygon in polygons:
        (i0, j0), (i1, j1) = (
            np.floor((corner - low) / cell).astype(int) + 2
            for corner in (polygon.min(axis=0), polygon.max(axis=0))
        )
        x, y = np.meshgrid(xs[i0 : i1 + 2], ys[j0 : j1 + 2])
        step = np.roll(polygon, -1, axis=0) - polygon
        left = step[:, 0] * (y[..., None] - polygon[:, 1]) - step[:, 1] * (x[..., None] - polygon[:, 0])
        inside[j0 : j1 + 2, i0 : i1 + 2] += (left >= 0).all(axis=-1)
    found = contour_generator(xs, ys, np.minimum(inside, 1.0)).lines(0.5)
    return [np.asarray(line)[:-1] for line in found if len(line) > 8]


def _path(lines: Polygons) -> Path:
    from matplotlib.path import Path  # noqa: PLC0415  # an extra

    return Path.make_compound_path(*(Path(np.concatenate([each, each[:1]]), closed=True) for each in lines))


def show_only(ax: Axes, artist: Artist, seen: Polygons, but: Polygons | None = None) -> None:
    """Show an artist only where something lets it be seen: a clip of all polygons, the covers left out."""
    clip = outline_of([hull(each) for each in seen])
    clip += [each[::-1] for each in outline_of([hull(each) for each in but or []])]
    artist.set_clip_path(_path(clip), ax.transData)
