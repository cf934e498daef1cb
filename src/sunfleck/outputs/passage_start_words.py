"""How a part is held before the opening, in words: which way its sides run, and what of it points where."""

from __future__ import annotations

from math import acos, cos, degrees, radians, sin

import numpy as np
from numpy.typing import NDArray

from sunfleck.studies.passage.told_motion import ToldStart

Floats = NDArray[np.float64]

RUNS = ("from left to right", "from front to back", "upright")
OFF = ("the line from left to right", "the line from front to back", "the upright")
# What lies at the far end along each axis of the enclosure; and which way something points.
LIES = ("on the right", "at the back", "at the top")
POINTS = (("to the left", "to the right"), ("towards you", "to the back"), ("down", "up"))
FAR_END = ("right end", "back end", "top")
# Turned by less it stands as it will stand; within this it runs along a line. [rad]
ALIKE, ALONG = radians(1.0), radians(8.0)
# A share of a direction that is told: more than this off the axis that it points along most. [rad]
ASIDE = radians(20.0)
# Sides that differ by less are not told apart. [-]
LONGER = 1.2
UPRIGHT = 0.7


def held_words(start: ToldStart) -> str:
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
    told = []
    long = start.size[0] > LONGER * start.size[1] and start.round_about in (None, 0)
    if long:
        told.append(f"its long side {_run(start.begin[0])}{_end(start)}")
    # The other direction that settles it; of what is round about its length there is none.
    if not (long and start.round_about == 0):
        upright = long and abs(float(start.end[0][2])) > UPRIGHT
        way, words = (
            (start.front, "what comes to face the front")
            if upright
            else (start.top, "what comes to lie on top")
        )
        if float(way[1 if upright else 2]) * (-1 if upright else 1) < cos(ALONG):
            told.append(f"{words} points {_points(way)}")
    return f"hold it turned {whole_degrees(start.angle)} from how it stands at its place{': ' if told else ''}{', '.join(told)}"


def whole_degrees(angle: float) -> str:
    """Return an angle in whole degrees; a half is always rounded up, whatever its last binary digit."""
    return f"{int(round(degrees(angle), 3) + 0.5)} degrees"


def _run(way: Floats) -> str:
    """Which way a side runs; aslant, by how much off which line, and where its far end leans to."""
    first, second = (int(axis) for axis in np.argsort(-np.abs(way), kind="stable")[:2])
    off = acos(min(1.0, abs(float(way[first]))))
    if off <= ALONG:
        return RUNS[first]
    leans = float(way[second]) * float(np.sign(way[first])) > 0
    return f"{whole_degrees(off)} off {OFF[first]}, its {FAR_END[first]} {POINTS[second][int(leans)]}"


def _points(way: Floats) -> str:
    """Which way something points, along one axis or between two or three."""
    told = [
        POINTS[axis][int(way[axis] > 0)]
        for axis in np.argsort(-np.abs(way), kind="stable")
        if abs(float(way[axis])) > sin(ASIDE)
    ]
    return " and ".join(told)


def _end(start: ToldStart) -> str:
    """Which of its ends points where, where that is not how it lies in the end."""
    now, then = start.begin[0], start.end[0]
    here, there = int(np.argmax(np.abs(now))), int(np.argmax(np.abs(then)))
    sign = float(np.sign(then[there]))
    if here == there and float(now[here]) * sign > 0:
        return ""
    return f", the end that comes to lie {LIES[there]} {POINTS[here][int(float(now[here]) * sign > 0)]}"
