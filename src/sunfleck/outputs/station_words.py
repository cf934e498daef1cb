"""Stations in words: for a terminal, as rows of a sheet, and as lines to paste into the plan."""

from __future__ import annotations

import json
from collections.abc import Iterator

from sunfleck.outputs.verdict_words import wrapped
from sunfleck.studies.left_open import CAUTIONS
from sunfleck.studies.meter.prospect import Expected
from sunfleck.studies.meter.station_plan import Station, StationPlan
from sunfleck.units import System, format_quantity

NAMES = {"uvi": "UV index", "lux": "brightness", "surface": "surface", "air": "air"}
INDENT = "      "


def stations_text(plan: StationPlan, *, blind: bool = False) -> str:
    """Return stations as a person reads them, and as YAML to paste.

    Parameters
    ----------
    plan : StationPlan
        What is proposed.
    blind : bool
        Whether what is expected stays hidden.

    Returns
    -------
    text : str
        One paragraph a station, then how they were chosen, cautions, and a block for the plan.
    """
    return "\n".join(_lines(plan, blind=blind)) + "\n"


def _lines(plan: StationPlan, *, blind: bool) -> Iterator[str]:
    yield plan.plan
    yield f"STATIONS   where readings tell most; an arm gets to {plan.reached} of {plan.looked_at} places"
    yield from wrapped(f"Lamps on and warmed up for half an hour: {plan.lit}", "", "")
    for meter in plan.meters:
        yield from wrapped(f"Read {meter}", "", "  ")
    light = [station.number for station in plan.stations if station.narrowed]
    for station in plan.stations:
        yield ""
        yield from wrapped(f"{station.number:>3}   {station.place}", "", INDENT)
        yield from wrapped("; ".join(station.walls), INDENT, INDENT)
        yield from wrapped(f"{reach_words(station, plan.system)}; {station.hold}", INDENT, INDENT)
        yield from wrapped(f"read: {'; '.join(_reads(station, plan.system, blind=blind))}", INDENT, INDENT)
        yield from wrapped(f"why: {station.why}", INDENT, INDENT)
        if station.narrowed:
            so_far = [n for n in light if n <= station.number]
            after = f"{so_far[0]}" if len(so_far) == 1 else f"{so_far[0]}-{so_far[-1]}"
            told = [f"{n.words} {n.before:.2f}x -> {n.after:.2f}x" for n in station.narrowed]
            yield from wrapped(f"after {after}: {', '.join(told)}", INDENT, INDENT)
    if light:
        yield ""
        yield "  2.00x means that the high end of a range, nine of ten worlds, is twice its low end."
    for title, lines in (("HOW THEY WERE CHOSEN", plan.notes), ("CAUTIONS", CAUTIONS)):
        yield ""
        yield title
        for line in lines:
            yield from wrapped(line, "  - ", "    ")
    if plan.stations:
        yield ""
        yield "TO PASTE INTO THE PLAN   edit as you like; what stands there is kept and completed"
        yield from yaml_lines(plan)


def yaml_lines(plan: StationPlan) -> Iterator[str]:
    """Yield a block of the plan's stations, in the user's units."""
    yield "stations:"
    for station in plan.stations:
        digits = 1 if plan.system == "metric" else 2
        at = ", ".join(format_quantity(value, "length", plan.system, digits) for value in station.at)
        note = f"{station.place}; read {', '.join(NAMES[each] for each in station.reads)}"
        # What the user wrote stays as it is. A string of JSON is one of YAML.
        note = station.plan_note if station.kept else note
        name, told = (json.dumps(words, ensure_ascii=False) for words in (station.name, note))
        rest = f", note: {told}" if note else ""
        yield f"  - {{name: {name}, at: [{at}], hold: {station.plan_hold}{rest}}}"


def reach_words(station: Station, system: System) -> str:
    """Say through which door, and how far an arm goes in."""
    if station.way is None:
        return "no straight way for an arm"
    far = format_quantity(station.way.far, "length", system, 0)
    return f"through {station.way.door}, arm {far}"


def _reads(station: Station, system: System, *, blind: bool) -> Iterator[str]:
    for what in station.reads:
        told = [expected_words(each, system) for each in station.expected if each.what == what]
        if blind or not told:
            yield NAMES[what]
        else:
            unit = unit_words(what, system)
            yield f"{NAMES[what]} {', '.join(told)} {unit}"


def unit_words(what: str, system: System) -> str:
    """Return the unit a meter shows."""
    if what in ("uvi", "lux"):
        return {"uvi": "UVI", "lux": "lux"}[what]
    return "°C" if system == "metric" else "°F"


def expected_words(expected: Expected, system: System) -> str:
    """Return what is expected and what could be: UV index to 0.1, temperature to a degree, brightness to two digits."""
    low, middle, high = (
        _shown(expected.what, value, system) for value in (expected.low, expected.middle, expected.high)
    )
    when = f"{expected.when} " if expected.when else ""
    return f"{when}{middle} ({low} to {high})"


def _shown(what: str, value: float, system: System) -> str:
    if what == "uvi":
        return f"{value:.1f}"
    if what == "lux":
        size = len(f"{abs(value):.0f}")
        return f"{round(value, min(2 - size, 0)):,.0f}"
    return format_quantity(value, "temperature", system).split()[0]
