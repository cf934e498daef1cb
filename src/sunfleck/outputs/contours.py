"""Lines of equal light over a field, with round numbers on them."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sunfleck.outputs.labels import Lettering, Spot
from sunfleck.outputs.scales import ColourScale, level_words
from sunfleck.outputs.targets import Target
from sunfleck.outputs.themes import FIELD_COLOURS, SMALL, Dashes, Theme

if TYPE_CHECKING:
    from matplotlib.axes import Axes

Line = NDArray[np.float64]
# Islands smaller than this share of the picture's width are leaf edges, not information.
SHORTEST_ISO = 0.12
SMALLEST_GRID = 2
TARGET_WIDTH = 1.3  # [pt]


def lines_at(x: Line, y: Line, field: NDArray[np.float64], level: float, shortest: float) -> list[Line]:
    """Return the lines on which a field has a value.

    Parameters
    ----------
    x, y : (p,), (q,) float
        Coordinates.
    field : (q, p) float
        Values; NaN interrupts a line.
    level : float
        The value.
    shortest : float
        Lines shorter than this are left out, in the unit of `x`.

    Returns
    -------
    lines : list of (k, 2) float
        Longest first.
    """
    import contourpy  # noqa: PLC0415  # comes with the drawing library

    if min(field.shape) < SMALLEST_GRID:
        return []
    found = contourpy.contour_generator(x, y, np.ma.masked_invalid(field), name="serial").lines(level)
    lines = [np.asarray(line) for line in found]
    lengths = [float(np.linalg.norm(np.diff(line, axis=0), axis=1).sum()) for line in lines]
    order = sorted(range(len(lines)), key=lambda k: (-lengths[k], k))
    return [lines[k] for k in order if lengths[k] >= shortest]


def draw_iso_lines(
    ax: Axes,
    x: Line,
    y: Line,
    field: NDArray[np.float64],
    scale: ColourScale,
    theme: Theme,
    lettering: Lettering,
    leave_out: tuple[float, ...] = (),
) -> None:
    """Draw thin lines at the scale's levels, each with its number once or twice.

    Parameters
    ----------
    ax : Axes
        Where.
    x, y, field : (p,), (q,), (q, p) float
        The field.
    scale : ColourScale
        Levels and colours.
    theme : Theme
        Colours.
    lettering : Lettering
        Knows where words stand already.
    leave_out : tuple of float
        Levels that are drawn in another way.
    """
    from matplotlib import colormaps  # noqa: PLC0415  # an extra
    from matplotlib.collections import LineCollection  # noqa: PLC0415  # an extra
    from matplotlib.colors import to_hex  # noqa: PLC0415  # an extra

    colours = colormaps[FIELD_COLOURS]
    width = float(x[-1] - x[0])
    for level in scale.levels:
        if any(abs(level - other) < 1e-9 * scale.top for other in leave_out):
            continue
        lines = lines_at(x, y, field, level, SHORTEST_ISO * width)
        if not lines:
            continue
        share = level / scale.top
        # Light lines on the dark half of the scale, dark lines on the light half.
        ink = theme.mark if share < 0.55 else theme.casing
        ax.add_collection(
            LineCollection(lines, colors=ink, linewidths=0.55, alpha=0.75, zorder=3), autolim=False
        )
        for line in lines[:2]:
            spots = [
                Spot(*line[int(part * (len(line) - 1))]) for part in (0.5, 0.3, 0.7, 0.15, 0.85, 0.4, 0.6)
            ]
            lettering.place(level_words(level), spots, SMALL - 0.5, ink, to_hex(colours(share)), alpha=1.0)


def draw_target_lines(
    ax: Axes,
    x: Line,
    y: Line,
    field: NDArray[np.float64],
    theme: Theme,
    targets: Sequence[Target],
) -> None:
    """Draw where a field crosses its targets, each in its own dash pattern."""
    from matplotlib.collections import LineCollection  # noqa: PLC0415  # an extra

    width = float(x[-1] - x[0])
    for target in targets:
        lines = lines_at(x, y, field, target.value, target.shortest * width)
        if lines:
            for colour, stroke_width, style in target_strokes(theme, target.dashes):
                stroke = LineCollection(
                    lines, colors=colour, linewidths=stroke_width, linestyles=[style], zorder=4
                )
                ax.add_collection(stroke, autolim=False)


def target_strokes(theme: Theme, dashes: Dashes) -> list[tuple[str, float, Dashes]]:
    """Return the strokes of a target line: a dark casing, and the light dashes over it."""
    return [
        (theme.casing, TARGET_WIDTH + 1.1, (0.0, None)),
        (theme.mark, TARGET_WIDTH, in_points(dashes, TARGET_WIDTH)),
    ]


def in_points(dashes: Dashes, width: float) -> Dashes:
    """Return a pattern for matplotlib, which multiplies it by the line's width."""
    offset, pattern = dashes
    return (offset, None if pattern is None else tuple(part / width for part in pattern))
