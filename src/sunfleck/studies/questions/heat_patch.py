"""Does the warm patch cover the animal's body?"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from sunfleck.studies.causes import cause_numbers, causes_of
from sunfleck.studies.light import light_field
from sunfleck.studies.ranges import chance_numbers, range_numbers, wanted_numbers
from sunfleck.studies.receivers import Place
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import chances
from sunfleck.studies.setting import UP, Setting
from sunfleck.studies.trace import Step

ID = "heat-patch"
SUBJECT = "heat-patch"
LACKS = "it does not bask"

# The patch ends where the radiant heat has fallen to half of its peak, as a beam angle is defined.
HALF = 0.5
FINE = 0.005
FAR = 0.6


def ask(setting: Setting) -> Verdict | None:
    """Judge the extent of the radiant patch at the basking place against the length of the body."""
    animal = setting.animal
    if not animal.basking:
        return None
    id_ = f"{ID}:{animal.key}"
    question = "warm patch against the body"
    wanted = wanted_numbers(id_, floor=animal.snout_vent)
    lit = {name: 1.0 for name in setting.lit.names if name in setting.heating}
    place = setting.basking_place() if lit else None
    if place is None:
        sentence = "it basks, and no basking lamp reaches a place it can rest on"
        advice = "add a basking lamp over a perch or the ground"
        return Verdict(id_, question, animal.name, "short", sentence, "", wanted, advice)
    counts, steps = _patch(setting, place, lit)
    lengths = counts * steps
    name = setting.strips[place.strip].name

    def trace(row: int) -> Step:
        method = f"neighbouring points on {name} with at least half of the peak's radiant heat"
        parts = (
            Step("points in the patch", float(counts[row]), "", "count", (), method, "derived"),
            Step("spacing of the points", float(steps[row]), "m", "computed", (), "a fine line", "derived"),
        )
        return Step("extent of the warm patch", float(lengths[row]), "m", "product", parts)

    counted = chances(lengths, floor=animal.snout_vent.value)
    state = counted.state()
    numbers = (
        *range_numbers(id_, "extent of the warm patch", "m", lengths, trace),
        *wanted,
        *chance_numbers(id_, counted),
        *cause_numbers(id_, causes_of(lengths, setting.brief.matrix)),
    )
    sentence = {
        "meets": "at least as long as head and body; its size only, not its temperature",
        "short": "smaller than the animal",
        "unknown": "may be smaller than the animal",
    }[state]
    advice = ""
    if state != "meets":
        advice = "two wider beams instead of one narrow one, or more distance; or a larger place to lie on"
    return Verdict(
        id_,
        question,
        animal.name,
        state,
        sentence,
        setting.words(place),
        numbers,
        advice,
        at=setting.middle(place),
    )


def _patch(
    setting: Setting, place: Place, lit: dict[str, float]
) -> tuple[NDArray[np.int64], NDArray[np.float64]]:
    """Points across the patch along fine lines through its peak, and their spacing, in every row.

    On ground and ledges the smaller of the extents along x and along y counts.
    """
    rows = setting.brief.matrix.rows
    counts, steps, least = np.zeros(rows, dtype=np.int64), np.zeros(rows), np.full(rows, np.inf)
    for points, step in _lines(setting, place, lit):
        field = light_field(setting.brief, points, UP)
        inside = setting.brief.surroundings.inside.contains(points)
        usable = inside & ~np.isnan(field.points[:, 0])
        worlds = field.channel("radiant", "normal", lit).worlds(np.arange(len(points)))
        worlds = np.where(usable[:, None], worlds, 0.0)
        runs = _runs_at_half(worlds)
        smaller = runs * step < least
        counts[smaller], steps[smaller], least[smaller] = runs[smaller], step, runs[smaller] * step
    return counts, steps


def _lines(
    setting: Setting, place: Place, lit: dict[str, float]
) -> Iterator[tuple[NDArray[np.float64], float]]:
    """Fine lines of back points through the warmest point of a strip."""
    strip = setting.strips[place.strip]
    if strip.kind == "perch":
        count = strip.shape[1]
        fine = np.linspace(0, count - 1, max(2, round((count - 1) * strip.step[1] / FINE) + 1))
        points = np.stack([np.interp(fine, np.arange(count), strip.points[:, k]) for k in range(3)], axis=1)
        yield points, (count - 1) * strip.step[1] / (len(fine) - 1)
        return
    receivers = setting.strip_receivers(place.strip)
    radiant = setting.light.channel("radiant", "normal", lit).middle[receivers]
    peak = setting.light.points[receivers[int(radiant.argmax())]].copy()
    for axis in (0, 1):
        low, high = strip.points[:, axis].min(), strip.points[:, axis].max()
        start, end = max(low, peak[axis] - FAR), min(high, peak[axis] + FAR)
        line = np.linspace(start, end, max(2, round((end - start) / FINE) + 1))
        points = np.tile(peak, (len(line), 1))
        points[:, axis] = line
        yield points, float(line[1] - line[0])


def _runs_at_half(worlds: NDArray[np.float64]) -> NDArray[np.int64]:
    """Length of the unbroken run at or above half the peak, through the peak, in every row."""
    warm = worlds >= HALF * worlds.max(axis=0)
    peaks = worlds.argmax(axis=0)
    place = np.arange(len(worlds))[:, None]
    before = np.where(~warm & (place < peaks), place, -1).max(axis=0)
    after = np.where(~warm & (place > peaks), place, len(worlds)).min(axis=0)
    return np.asarray(after - before - 1)
