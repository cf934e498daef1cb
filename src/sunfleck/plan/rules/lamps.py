"""Lamps are placed as their kind needs, driven as they can be, and lit at possible times."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path as FilePath

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.errors import DomainError
from sunfleck.library.entries import LINE_EMITTERS, Lamp
from sunfleck.library.entries.lamps import CONTROLLERS
from sunfleck.library.loader import Library
from sunfleck.plan.beams import beam_of
from sunfleck.plan.fixtures import Fixture
from sunfleck.plan.models import Plan
from sunfleck.plan.schema_problems import Path, problem_at
from sunfleck.units import format_quantity

# Lamp holders and catalogue lengths differ by about this much.
LENGTH_SLACK = 0.04
# Lamps whose beam can come from a file.
BEAMS = ("spot", "disc")
# A guard's sides are drawn along the axes; a tube may lean by this much and still fit its guard.
LEAN = 0.03


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield fixtures that cannot be hung, driven or lit as written."""
    for i, fixture in enumerate(plan.fixtures):
        path: Path = ("fixtures", i)
        yield from _hours(document, path, fixture)
        yield from _evidence(document, path, fixture, library)
        yield from _photometry(document, path, fixture, library)
        lamp = library.lamps.get(fixture.lamp)
        if lamp is not None:
            yield from _placement(plan, document, path, fixture, lamp)
            yield from _drive(document, path, fixture, lamp)


def _placement(plan: Plan, document: Document, path: Path, fixture: Fixture, lamp: Lamp) -> Iterator[Problem]:
    line = str(lamp.emitter.value) in LINE_EMITTERS
    wanted, unwanted = (("from", "to"), ("at", "aim")) if line else (("at", "aim"), ("from", "to", "roll"))
    values = {
        "from": fixture.from_,
        "to": fixture.to,
        "at": fixture.at,
        "aim": fixture.aim,
        "roll": fixture.roll,
    }
    kind = f"a {lamp.emitter.value} ({fixture.lamp})"
    hangs = "from one end to the other" if line else "at a point and aims at one"
    for key in wanted:
        if values[key] is None:
            needed = f"`{key}`: {kind} hangs {hangs}"
            fix = f"{key}: [10 cm, 10 cm, 10 cm]"
            yield problem_at(document, path, "lamp.placement", needed, wrote=f"no `{key}`", fix=fix)
    for key in unwanted:
        if values[key] is not None:
            needed = f"`{wanted[0]}` and `{wanted[1]}` only: {kind} hangs {hangs}"
            yield problem_at(document, (*path, key), "lamp.placement", needed)
    ends = (values[wanted[0]], values[wanted[1]])
    if not (isinstance(ends[0], tuple) and isinstance(ends[1], tuple)):
        return
    apart = math.dist(ends[0], ends[1])
    if not line:
        if apart < 1e-3:
            needed = "an aim apart from the lamp's own place"
            yield problem_at(document, (*path, "aim"), "lamp.aim", needed)
        return
    assert lamp.length is not None
    nominal = float(lamp.length.value)  # type: ignore[arg-type]  # a length is a number
    if abs(apart - nominal) > LENGTH_SLACK:
        shown = format_quantity(nominal, "length", plan.show_units)
        slack = format_quantity(LENGTH_SLACK, "length", plan.show_units)
        wrote = format_quantity(apart, "length", plan.show_units)
        needed = f"the lamp's length of {shown}, within {slack} (library lamps/{fixture.lamp})"
        yield problem_at(document, (*path, "to"), "lamp.length", needed, wrote=f"{wrote} from end to end")
    spans = sorted(abs(a - b) for a, b in zip(ends[0], ends[1], strict=True))
    if fixture.guard is not None and spans[1] > LEAN:
        needed = "a tube or bar along x, y or z, so that the guard fits round it; or no guard"
        yield problem_at(
            document, (*path, "guard"), "lamp.guard-slant", needed, wrote="a slanting lamp in a guard"
        )


def _drive(document: Document, path: Path, fixture: Fixture, lamp: Lamp) -> Iterator[Problem]:
    if not lamp.dimmable.value:
        needed = f"a lamp that may be dimmed; {fixture.lamp} may not (library lamps/{fixture.lamp}: dimmable)"
        if fixture.level < 1.0:
            yield problem_at(document, (*path, "level"), "lamp.not-dimmable", needed, fix="level: 100 %")
    control = fixture.control
    allowed = CONTROLLERS[str(lamp.controllers.value)]
    if control is not None and control.kind not in allowed:
        place: Path = (*path, "control", "kind")
        needed = f"{_thermostats(allowed)} (library lamps/{fixture.lamp}: controllers)"
        fix = f"kind: {allowed[0]}" if allowed else None
        yield problem_at(document, place, "lamp.controller", needed, fix=fix)
    if control is not None and control.cut_out is not None and control.cut_out <= control.target:
        needed = "a cut-out above the target; 3-5 K above it is usual"
        yield problem_at(document, (*path, "control", "cut_out"), "lamp.cut-out", needed)
    if control is not None and control.cut_out is None and control.cut_out_probe is not None:
        needed = "`cut_out` beside it: at what temperature it opens"
        yield problem_at(
            document, (*path, "control", "cut_out_probe"), "lamp.cut-out", needed, fix="cut_out: 45 degC"
        )


def _thermostats(allowed: tuple[str, ...]) -> str:
    if not allowed:
        return "no `control`: nothing but a timer may drive this lamp, which is never dimmed or cycled"
    return f"{' or '.join(allowed)}: no other thermostat may drive this lamp"


def _hours(document: Document, path: Path, fixture: Fixture) -> Iterator[Problem]:
    for key, hours in (("hours", fixture.hours), ("winter_hours", fixture.winter_hours)):
        if hours is None:
            continue
        if len(hours) % 2 or not hours:
            needed = "pairs of times, on then off"
            yield problem_at(document, (*path, key), "time.order", needed, fix='["08:00", "20:00"]')
            continue
        for k, (earlier, later) in enumerate(pairwise(hours)):
            if later <= earlier:
                needed = "a time after the one before it (a lamp lit over midnight takes two pairs)"
                yield problem_at(document, (*path, key, k + 1), "time.order", needed)


def _evidence(document: Document, path: Path, fixture: Fixture, library: Library) -> Iterator[Problem]:
    for k, reading in enumerate(fixture.evidence):
        place: Path = (*path, "evidence", k)
        if reading.uvi is None and reading.lux is None:
            yield problem_at(document, place, "evidence.empty", "a reading: `uvi` or `lux`", fix="uvi: 3.1")
        dark = [
            id_
            for id_ in reading.through
            if id_ in library.panes and not library.panes[id_].transmittance_uv.value
        ]
        if reading.uvi is not None and dark:
            needed = f"a UV reading that can be: no UV gets through {', '.join(dark)} (library panes: transmittance_uv)"
            yield problem_at(document, (*place, "through"), "evidence.dark", needed)


def _photometry(document: Document, path: Path, fixture: Fixture, library: Library) -> Iterator[Problem]:
    lamp = library.lamps.get(fixture.lamp)
    if fixture.photometry is None or lamp is None:
        return
    place: Path = (*path, "photometry")
    if str(lamp.emitter.value) not in BEAMS:
        needed = f"no file: {fixture.lamp} is a {lamp.emitter.value}, and only the beam of a spot or panel is taken from one"
        yield problem_at(document, place, "lamp.photometry", needed)
        return
    try:
        beam_of(fixture.photometry, FilePath(document.file).parent)
    except DomainError as error:
        yield problem_at(document, place, "lamp.photometry", f"a photometric file that can be used: {error}")
