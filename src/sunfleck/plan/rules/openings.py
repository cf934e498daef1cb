"""Doors and vents fit on their face and do not overlap."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.geometry.boxes import FACE_AXES
from sunfleck.library.loader import Library
from sunfleck.plan.enclosure import Door, Vent
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.shell import SIDES, inside_size
from sunfleck.plan.schema_problems import Path, problem_at
from sunfleck.units import format_quantity, parse_quantity

SLACK = 1e-6
# A remedy that leaves less than this share of an opening's size is only offered where there is no other.
WORTH_KEEPING = 0.5
SMALLEST = 0.01

Pair = tuple[float, float]
Placed = tuple[Path, Door | Vent]


@dataclass(frozen=True, slots=True)
class _Change:
    """Another place or another size for an opening. [m]"""

    at: Pair | None = None
    size: Pair | None = None


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield openings that do not fit."""
    del library
    openings: list[Placed] = []
    for i, door in enumerate(plan.enclosure.doors):
        openings.append((("enclosure", "doors", i), door))
    for i, vent in enumerate(plan.enclosure.vents):
        openings.append((("enclosure", "vents", i), vent))
    off: set[Path] = set()
    for path, opening in openings:
        others = [other for place, other in openings if place != path and other.face == opening.face]
        problems = list(_on_face(plan, document, path, opening, others))
        if problems:
            off.add(path)
        yield from problems
    for index, (path, opening) in enumerate(openings):
        for other_path, other in openings[:index]:
            if opening.face != other.face or not _overlap(opening, other) or _lap(opening, other):
                continue
            if path in off or other_path in off:
                # The remedy for the one that leaves its face clears the other openings as well.
                continue
            line = document.mark(other_path).line
            needed = f"a place clear of {other.name!r} (line {line}) on the {opening.face} face"
            others = [o for place, o in openings if place != path and o.face == opening.face]
            yield problem_at(
                document,
                (*path, "at"),
                "geometry.openings-overlap",
                needed,
                wrote=f"{opening.name!r} overlaps it",
                fix=_written(plan, _clear_of(plan, opening, others)),
            )


def _on_face(
    plan: Plan, document: Document, path: Path, opening: Door | Vent, others: Sequence[Door | Vent]
) -> Iterator[Problem]:
    size = inside_size(plan)
    _, _, first, second = FACE_AXES[opening.face]
    rule = "geometry.opening-on-face"
    for k, axis in enumerate((first, second)):
        limit = size[axis]
        face = f"the {opening.face} face's {SIDES[axis]} of {_show(plan, limit)}"
        too_large = opening.size[k] > limit + SLACK
        if not too_large and opening.at[k] >= -SLACK and opening.at[k] + opening.size[k] <= limit + SLACK:
            continue
        place, extent, both = _remedies(plan, opening, others, k, limit)
        if too_large:
            needed = f"at most {face}"
            if extent is not None:
                needed += f", of which {_show(plan, extent)} are left at {_show(plan, opening.at[k])}"
        else:
            room = _show(plan, limit - opening.size[k])
            needed = f"a place from 0 to {room}, so that it ends within {face}"
            if place is None and extent is not None:
                needed = f"at most {_show(plan, extent)} from where it begins, so that it ends within {face}"
            if place is None:
                needed += "; at no other place would it be clear of the other openings"
        fix: str | None
        if place is not None and extent is None:
            where, fix = (*path, "at", k), _show(plan, place)
        elif extent is not None and place is None:
            where, fix = (*path, "size", k), _show(plan, extent)
        else:
            where = (*path, "size" if too_large else "at", k)
            moved = _Change(at=_with(opening.at, k, place)) if place is not None else both
            narrowed = _Change(size=_with(opening.size, k, extent)) if extent is not None else None
            found = [_written(plan, change) for change in (moved, narrowed)]
            fix = " or ".join(text for text in found if text) or None
        yield problem_at(document, where, rule, needed, fix=fix)


def _remedies(
    plan: Plan, opening: Door | Vent, others: Sequence[Door | Vent], k: int, limit: float
) -> tuple[float | None, float | None, _Change | None]:
    """Return another place for it, a smaller size where it stands, and, for want of those, both. [m]"""
    place = _clear_place(plan, opening, others, k, limit)
    extent = _extent_left(plan, opening, others, k, limit)
    least = WORTH_KEEPING * opening.size[k] if place is not None else SMALLEST
    if extent is not None and extent < least:
        extent = None
    if place is not None or extent is not None:
        return place, extent, None
    return None, None, _move_and_narrow(plan, opening, others, k, limit)


def _move_and_narrow(
    plan: Plan, opening: Door | Vent, others: Sequence[Door | Vent], k: int, limit: float
) -> _Change | None:
    """Return the widest stretch that the other openings leave free along one axis."""
    low, high = max(_gaps(opening, others, k, limit), key=lambda gap: gap[1] - gap[0], default=(0.0, 0.0))
    low = _rounded(plan, low, math.ceil)
    left = _rounded(plan, high - low, math.floor)
    if left < SMALLEST:
        return None
    return _Change(at=_with(opening.at, k, low), size=_with(opening.size, k, left))


def _clear_place(
    plan: Plan, opening: Door | Vent, others: Sequence[Door | Vent], k: int, limit: float
) -> float | None:
    """Return the place nearest to its own, along one axis, where it fits beside the others. [m]"""
    places = []
    for low, high in _gaps(opening, others, k, limit):
        lowest = _rounded(plan, low, math.ceil)
        highest = _rounded(plan, high - opening.size[k], math.floor)
        if lowest <= highest + SLACK:
            places.append(min(max(opening.at[k], lowest), max(highest, lowest)))
    return min(places, key=lambda place: abs(place - opening.at[k]), default=None)


def _extent_left(
    plan: Plan, opening: Door | Vent, others: Sequence[Door | Vent], k: int, limit: float
) -> float | None:
    """Return the size that is left from where it begins to the next opening or the face's edge. [m]"""
    begins = opening.at[k]
    if not -SLACK <= begins < limit - SMALLEST:
        return None
    beside = [other for other in others if _same_band(opening, other, k)]
    if any(o.at[k] <= begins + SLACK < o.at[k] + o.size[k] - SLACK for o in beside if not _lap(o, opening)):
        return None
    ends = min([limit, *(other.at[k] for other in beside if other.at[k] > begins + SLACK)])
    left = _rounded(plan, ends - begins, math.floor)
    return left if left >= SMALLEST else None


def _clear_of(plan: Plan, opening: Door | Vent, others: Sequence[Door | Vent]) -> _Change | None:
    """Return the smallest shift after which it overlaps nothing, or else a place with the size left there."""
    size = inside_size(plan)
    _, _, first, second = FACE_AXES[opening.face]
    shifts = []
    for k, axis in enumerate((first, second)):
        place = _clear_place(plan, opening, others, k, size[axis])
        if place is not None:
            shifts.append((abs(place - opening.at[k]), k, place))
    if shifts:
        _, k, place = min(shifts)
        return _Change(at=_with(opening.at, k, place))
    return _move_and_narrow(plan, opening, others, 0, size[first])


def _gaps(opening: Door | Vent, others: Sequence[Door | Vent], k: int, limit: float) -> list[Pair]:
    """Return the stretches of a face's axis that the other openings leave free. [m]"""
    gaps, reached = [], 0.0
    taken = sorted((o.at[k], o.at[k] + o.size[k]) for o in others if _same_band(opening, o, k))
    for low, high in [*taken, (limit, limit)]:
        if low > reached:
            gaps.append((reached, min(low, limit)))
        reached = max(reached, high)
    return gaps


def _same_band(a: Door | Vent, b: Door | Vent, k: int) -> bool:
    """Return whether two openings would meet when one is moved along an axis."""
    across = 1 - k
    return (
        a.at[across] < b.at[across] + b.size[across] - SLACK
        and b.at[across] < a.at[across] + a.size[across] - SLACK
    )


def _lap(a: Door | Vent, b: Door | Vent) -> bool:
    """Two sliding panes of one runner pass each other; they overlap by their lap."""
    return isinstance(a, Door) and isinstance(b, Door) and a.kind == b.kind == "sliding"


def _overlap(a: Door | Vent, b: Door | Vent) -> bool:
    return _same_band(a, b, 0) and _same_band(a, b, 1)


def _with(pair: Pair, k: int, value: float) -> Pair:
    return (value, pair[1]) if k == 0 else (pair[0], value)


def _written(plan: Plan, change: _Change | None) -> str | None:
    if change is None:
        return None
    pairs = (("at", change.at), ("size", change.size))
    return ", ".join(
        f"{key}: [{_show(plan, pair[0])}, {_show(plan, pair[1])}]" for key, pair in pairs if pair
    )


def _rounded(plan: Plan, length: float, towards: Callable[[float], int]) -> float:
    """Round a length to what is shown of it, to the side where the remedy still fits. [m]"""
    step = 0.1 * parse_quantity("1 in" if plan.show_units == "us" else "1 cm", "length")
    steps = length / step
    # A length that is whole already stays what it is.
    whole = round(steps)
    return (whole if abs(steps - whole) < SLACK / step else towards(steps)) * step


def _show(plan: Plan, length: float) -> str:
    return format_quantity(length, "length", plan.show_units)
