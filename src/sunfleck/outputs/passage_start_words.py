"""How a part is held before the opening, in words: which way its sides run, and which of its ends is where."""

from __future__ import annotations

from math import acos, degrees, radians

import numpy as np
from numpy.typing import NDArray

from sunfleck.studies.passage.told_motion import ToldStart

Floats = NDArray[np.float64]

RUNS = ("from left to right", "from front to back", "upright")
OFF = ("the line from left to right", "the line from front to back", "the upright")
# The two ends along each axis of the enclosure: of what lies there, and which way something points.
LIES = (("on the left", "on the right"), ("in front", "at the back"), ("at the bottom", "at the top"))
POINTS = (("left", "right"), ("towards you", "to the back"), ("down", "up"))
FAR_END = ("right end", "back end", "top")
# Turned by less it stands as it will stand; within this it runs along a line. [rad]
ALIKE, ALONG = radians(1.0), radians(8.0)
# Sides that differ by less are not told apart. [-]
LONGER = 1.2


def start_words(start: ToldStart) -> str:
    """Return how a part is held before the opening: ``hold it with its long side upright, ..``.

    Parameters
    ----------
    start : ToldStart
        In numbers.

    Returns
    -------
    words : str
        An imperative.
    """
    if start.angle < ALIKE:
        return "hold it as it stands at its place"
    long, middle, short = (float(x) for x in start.size)
    told = []
    if long > LONGER * middle:
        told.append(f"its long side {_run(start.begin[0])}{_end(start)}")
    if middle > LONGER * short:
        told.append(f"its short side {_run(start.begin[2])}")
    turned = f"{degrees(start.angle):.0f} degrees from how it stands at its place"
    return f"hold it turned {turned}{': ' if told else ''}{', '.join(told)}"


def _run(way: Floats) -> str:
    """Which way a side runs; aslant, by how much off which line, and where its far end leans to."""
    first, second = (int(axis) for axis in np.argsort(-np.abs(way), kind="stable")[:2])
    off = acos(min(1.0, abs(float(way[first]))))
    if off <= ALONG:
        return RUNS[first]
    leans = float(way[second]) * float(np.sign(way[first])) > 0
    return f"{degrees(off):.0f} degrees off {OFF[first]}, its {FAR_END[first]} {POINTS[second][int(leans)]}"


def _end(start: ToldStart) -> str:
    """Which of its ends points where, where that is not how it lies in the end."""
    if not start.ends:
        return ""
    now, then = start.begin[0], start.end[0]
    here, there = int(np.argmax(np.abs(now))), int(np.argmax(np.abs(then)))
    sign = float(np.sign(then[there]))
    if here == there and float(now[here]) * sign > 0:
        return ""
    # The end that lies on the far side in the end.
    return f", the end that comes to lie {LIES[there][1]} {POINTS[here][int(float(now[here]) * sign > 0)]}"
