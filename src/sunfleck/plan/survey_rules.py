"""Rules that hold across fields of a survey, and between a survey and its plan."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sunfleck.document.problem import Problem, nearest
from sunfleck.document.reader import Document
from sunfleck.physics.salt_points import COLDEST, HOTTEST
from sunfleck.plan.read import PlanSource
from sunfleck.plan.rules.names import slug
from sunfleck.plan.rules.shell import AXES, SIDES, SLACK, inside_size
from sunfleck.plan.schema_problems import Path, problem_at
from sunfleck.plan.surveys import HEAT, LIGHT, MOISTURE, QUANTITIES, Instrument, Survey
from sunfleck.units import format_quantity

KINDS = {"light": LIGHT, "temperature": HEAT, "humidity": MOISTURE}
# More names than this are not listed in a message.
READ_BY_EYE = 12


def broken_survey_rules(survey: Survey, document: Document) -> Iterator[Problem]:
    """Yield what a survey contradicts itself in."""
    seen: dict[str, int] = {}
    for i, instrument in enumerate(survey.instruments):
        first = seen.setdefault(slug(instrument.name), i)
        if first != i:
            line = document.mark(("instruments", first, "name")).line
            needed = f"a name of its own; line {line} already has an instrument that reads the same"
            name = f"{instrument.name} 2"
            yield problem_at(document, ("instruments", i, "name"), "names.duplicate", needed, fix=name)
        yield from _instrument(document, i, instrument)
    meters = {instrument.name: instrument for instrument in survey.instruments}
    for i, reading in enumerate(survey.readings):
        path: Path = ("readings", i)
        meter = meters.get(reading.with_)
        if meter is None:
            needed = f"an instrument of this survey: {_listed(meters) or 'none is there yet'}"
            near = nearest(reading.with_, meters)
            yield problem_at(document, (*path, "with"), "survey.instrument", needed, fix=near)
        if not reading.values:
            needed = f"a reading: one or more of {', '.join(QUANTITIES)}"
            yield problem_at(document, path, "survey.no-value", needed)
        for key in reading.values:
            if meter is not None and key not in meter.reads:
                able = [m.name for m in survey.instruments if key in m.reads]
                needed = f"a value that {meter.name!r} reads ({', '.join(meter.reads)})"
                needed += f"; {key} is read by {_listed(able)}" if able else "; no instrument here reads it"
                fix = f"with: {able[0]}" if len(able) == 1 else None
                yield problem_at(document, (*path, key), "survey.not-read", needed, fix=fix, at_key=True)


def unknown_in_plan(survey: Survey, document: Document, plan: PlanSource) -> Iterator[Problem]:
    """Yield names and places that the plan does not have."""
    fixtures = [fixture.name for fixture in plan.plan.fixtures]
    stations = [station.name for station in plan.plan.stations]
    places: list[tuple[Path, str]] = [(("lit", i), name) for i, name in enumerate(survey.lit or ())]
    places += [(("lamp_hours", name), name) for name in survey.lamp_hours]
    places += [(("levels", name), name) for name in survey.levels]
    for i, reading in enumerate(survey.readings):
        places += [(("readings", i, "lit", k), name) for k, name in enumerate(reading.lit or ())]
    for place, name in places:
        if name not in fixtures:
            needed = f"a fixture of the plan: {_listed(fixtures) or 'it has none'}"
            by_key = place[0] in ("lamp_hours", "levels")
            wrote = name if by_key else None
            near = nearest(name, fixtures)
            yield problem_at(document, place, "survey.fixture", needed, wrote=wrote, fix=near, at_key=by_key)
    for i, reading in enumerate(survey.readings):
        if not isinstance(reading.at, str):
            yield from _outside(document, ("readings", i, "at"), reading.at, plan)
        elif reading.at not in stations:
            needed = f"a station of the plan ({_listed(stations) or 'it has none'}), or a point [x, y, z]"
            alike = next((name for name in stations if slug(name) == slug(reading.at)), None)
            near = alike or nearest(reading.at, stations)
            yield problem_at(document, ("readings", i, "at"), "survey.station", needed, fix=near)


def _instrument(document: Document, i: int, instrument: Instrument) -> Iterator[Problem]:
    path: Path = ("instruments", i)
    kinds = [kind for kind, keys in KINDS.items() if set(keys) & set(instrument.reads)]
    if len(kinds) > 1:
        needed = (
            f"an instrument of one kind; {' and '.join(kinds)} are corrected differently: "
            "write a device that reads both twice, under two names"
        )
        yield problem_at(document, (*path, "reads"), "survey.reads", needed)
        return
    kind = kinds[0]
    if (instrument.accuracy.kind == "temperature_difference") != (kind == "temperature"):
        needed = "an accuracy in kelvin, such as 0.5 K" if kind == "temperature" else "an accuracy in percent"
        yield problem_at(document, (*path, "accuracy"), "survey.accuracy", f"{needed}, for {kind}")
    own = {"factor": "light", "offset": "temperature"}
    own |= dict.fromkeys(("salt", "salt_read", "salt_at"), "humidity")
    for key, of in own.items():
        if getattr(instrument, key) is not None and kind != of:
            needed = f"no `{key}`: it corrects {of}, and this instrument reads {kind}"
            fix = f"take `{key}` out"
            yield problem_at(document, (*path, key), "survey.correction", needed, fix=fix, at_key=True)
    check = {key: getattr(instrument, key) for key in ("salt", "salt_read", "salt_at")}
    if kind == "humidity" and None in check.values() and any(v is not None for v in check.values()):
        lacking = " and ".join(f"`{key}`" for key, value in check.items() if value is None)
        needed = f"{lacking} too: a check names the salt, what was read over it, and how warm it was"
        yield problem_at(document, path, "survey.salt-check", needed)
    elif instrument.salt_at is not None and not COLDEST <= instrument.salt_at <= HOTTEST:
        needed = f"from {COLDEST - 273.15:g} to {HOTTEST - 273.15:g} degC: the salts are known there"
        yield problem_at(document, (*path, "salt_at"), "survey.salt-check", needed)


def _outside(
    document: Document, path: Path, point: tuple[float, float, float], plan: PlanSource
) -> Iterator[Problem]:
    for axis, (value, limit) in enumerate(zip(point, inside_size(plan.plan), strict=True)):
        if not -SLACK <= value <= limit + SLACK:
            low, high = (format_quantity(end, "length", plan.plan.show_units) for end in (0.0, limit))
            needed = f"{AXES[axis]} from {low} to {high}, the inside {SIDES[axis]} of the plan's box"
            fix = low if value < 0 else high
            yield problem_at(document, (*path, axis), "survey.place", needed, fix=fix)


def _listed(names: Iterable[str]) -> str:
    known = list(names)
    more = f" and {len(known) - READ_BY_EYE} more" if len(known) > READ_BY_EYE else ""
    return ", ".join(known[:READ_BY_EYE]) + more
