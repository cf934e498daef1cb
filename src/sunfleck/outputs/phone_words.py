"""A meter round in words for the page on a phone: plain data, nothing worked out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from sunfleck.document.problem import Problem
from sunfleck.outputs.meter_words import CAUTIONS
from sunfleck.outputs.meter_words import KINDS as ROUNDS
from sunfleck.outputs.station_words import expected_words, unit_words
from sunfleck.outputs.survey_words import KINDS, how_words
from sunfleck.plan.models import Plan
from sunfleck.plan.read_survey import SurveySource
from sunfleck.plan.surveys import Reading
from sunfleck.studies.meter.calibration import Compared
from sunfleck.studies.meter.hold_points import HoldPoint
from sunfleck.studies.meter.slips import NAMES, said_of
from sunfleck.studies.meter.station_plan import Station
from sunfleck.units import System, format_quantity

Key = tuple[str, str]


@dataclass(frozen=True, eq=False)
class Seen:
    """All that the page tells of.

    Attributes
    ----------
    plan : Plan
        The plan.
    source : SurveySource or None
        Its survey; None while that cannot be read.
    problems : tuple of Problem
        Why it cannot.
    waiting : int
        Entries kept beside it.
    asked : mapping of int to tuple of str
        Questions about a reading by itself, by its place in the survey.
    calibrated : mapping of (str, str) to tuple of str
        Questions about readings beside the plan, by where they stand and by what was read.
    stations : mapping of str to Station
        What to read where, and what is expected.
    compared : mapping of (str, str) to Compared
        Readings beside the plan.
    stops : tuple of HoldPoint or None
        Those of the plan with who passed them; None while they are not known yet.
    comparing : bool
        Whether something is still being worked out.
    why_not : str
        What kept it from being worked out; "" where nothing did.
    """

    plan: Plan
    source: SurveySource | None
    problems: tuple[Problem, ...]
    waiting: int
    asked: Mapping[int, tuple[str, ...]]
    calibrated: Mapping[Key, tuple[str, ...]]
    stations: Mapping[str, Station]
    compared: Mapping[Key, Compared]
    stops: tuple[HoldPoint, ...] | None
    comparing: bool
    why_not: str


def round_words(seen: Seen, survey: str, key: str, *, blind: bool) -> dict[str, Any]:
    """Return a round as the page shows it.

    Parameters
    ----------
    seen : Seen
        What is known of it.
    survey, key : str
        The survey's name, and what tells it from others of that name.
    blind : bool
        Whether what is expected is told of what was read only.

    Returns
    -------
    told : dict
        Plain data for JSON, numbers as text with their units.
    """
    system = seen.plan.show_units
    readings = seen.source.survey.readings if seen.source is not None else ()
    told: dict[str, Any] = {
        "plan": seen.plan.name,
        "survey": survey,
        "key": key,
        "kind": ROUNDS.get(seen.source.survey.kind, "") if seen.source is not None else "",
        "by": seen.source.survey.by if seen.source is not None else "",
        "blind": blind,
        "degrees": "degF" if system == "us" else "degC",
        "lamps": [fixture.name for fixture in seen.plan.fixtures],
        "lit": list(_lit(seen)),
        "meters": _meters(seen.source),
        "stations": [_station(seen, each.name, blind=blind) for each in seen.plan.stations],
        "elsewhere": sum(not isinstance(reading.at, str) for reading in readings),
        "stops": [_stop(each) for each in seen.stops] if seen.stops is not None else None,
        "waiting": seen.waiting,
        "problems": [problem_words(each) for each in seen.problems],
        "comparing": seen.comparing,
        "not_compared": seen.why_not,
        "cautions": list(CAUTIONS),
    }
    return told


def entry_words(
    state: str, problems: Sequence[str] = (), asked: Sequence[str] = (), expected: Sequence[str] = ()
) -> dict[str, Any]:
    """Return what became of one entry."""
    asked, expected = ([signed(words) for words in told] for told in (asked, expected))
    return {"state": state, "problems": list(problems), "asked": asked, "expected": expected}


def signed(words: str) -> str:
    """Return a sentence with degrees as a display shows them."""
    return words.replace(" degC", " °C").replace(" degF", " °F")


def problem_words(problem: Problem) -> str:
    """Return a problem in one sentence: a phone has no room for a table."""
    if problem.file.endswith((".yaml", ".yml")):
        line = f"line {problem.line} of " if problem.line else ""
        return signed(
            f"{line}{problem.file.replace(chr(92), '/').rsplit('/', 1)[-1]}: needed is {problem.needed}"
        )
    fix = f"; try {problem.fix}" if problem.fix else ""
    return signed(f"{problem.where}: {problem.wrote} is not {problem.needed}{fix}")


def reading_expected(
    source: SurveySource,
    number: int,
    system: System,
    stations: Mapping[str, Station],
    compared: Mapping[Key, Compared],
) -> list[str]:
    """Return what was expected of a reading that stands in the survey, a sentence for each value."""
    reading = source.survey.readings[number]
    where = source.line_of(("readings", number))
    station = stations.get(reading.at) if isinstance(reading.at, str) else None
    # What stations are expected to show holds for all lamps on, meshes in place, the sensor held as the plan says.
    plain = (
        reading.lit is None and source.survey.lit is None and reading.mesh == "in place" and not reading.hold
    )
    told = []
    for key, value in reading.values.items():
        each = compared.get((where, key))
        if each is not None and not each.left_out:
            middle, low, high = (said_of(each.reading, x, system) for x in (each.before, each.low, each.high))
            told.append(
                f"{NAMES[key]}: read {_value(key, value, system)}, expected {middle} ({low} to {high})"
            )
        elif each is not None and not (plain and station):
            told.append(f"{NAMES[key]}: not held against the plan; {each.left_out}")
        elif plain and station is not None:
            told += _expected(station, system, key)
    return told


def _lit(seen: Seen) -> tuple[str, ...]:
    lit = seen.source.survey.lit if seen.source is not None else None
    return lit if lit is not None else tuple(fixture.name for fixture in seen.plan.fixtures)


def _meters(source: SurveySource | None) -> list[dict[str, Any]]:
    return [
        {"name": each.name, "reads": list(each.reads)}
        for each in (source.survey.instruments if source is not None else ())
    ]


def _station(seen: Seen, name: str, *, blind: bool) -> dict[str, Any]:
    system = seen.plan.show_units
    written = next(each for each in seen.plan.stations if each.name == name)
    found = seen.stations.get(name)
    at = ", ".join(format_quantity(value, "length", system) for value in written.at)
    told: dict[str, Any] = {
        "name": name,
        # The plan's own stations are placed by their name or note, which stand there anyway.
        "where": f"at {at}" if found is None else "" if found.place in (name, written.note) else found.place,
        "walls": list(found.walls) if found is not None else [],
        "hold": found.hold if found is not None else f"sensor {written.hold}",
        "note": written.note or "",
        "reads": [NAMES[key] for key in found.reads] if found is not None else None,
        "readings": list(_readings(seen, name)),
    }
    if found is not None and not blind:
        told["expected"] = [words for key in found.reads for words in _expected(found, system, key)]
    asked = any(each["asked"] for each in told["readings"])
    told["state"] = "asked about" if asked else "read" if told["readings"] else "not read"
    return told


def _expected(station: Station, system: System, key: str) -> Iterator[str]:
    for each in station.expected:
        if each.what == key:
            unit = "" if key == "uvi" else f" {unit_words(each.what, system)}"
            yield f"{NAMES[each.what]}: expected {expected_words(each, system)}{unit}"


def _readings(seen: Seen, name: str) -> Iterator[dict[str, Any]]:
    if seen.source is None:
        return
    system = seen.plan.show_units
    for i, reading in enumerate(seen.source.survey.readings):
        if reading.at != name:
            continue
        where = seen.source.line_of(("readings", i))
        beside = [words for key in reading.values for words in seen.calibrated.get((where, key), ())]
        yield {
            "values": _values(reading, system),
            "with": reading.with_,
            "how": how_words(reading),
            "asked": [signed(words) for words in (*seen.asked.get(i, ()), *beside)],
            "expected": [
                signed(words)
                for words in reading_expected(seen.source, i, system, seen.stations, seen.compared)
            ],
        }


def _values(reading: Reading, system: System) -> str:
    return ", ".join(f"{NAMES[key]} {_value(key, value, system)}" for key, value in reading.values.items())


def _value(key: str, value: float, system: System) -> str:
    kind, digits = next(pair for known, pair in KINDS.items() if known == key)
    # The page asks for lux, whatever the plan is shown in.
    shown: System = "metric" if key == "lux" else system
    words = format_quantity(value, kind, shown, digits)
    return signed(words.removesuffix(" UVI"))


def _stop(each: HoldPoint) -> dict[str, str]:
    return {
        "key": each.key,
        "what": each.what,
        "how": each.how,
        "by": each.by,
        "date": each.date,
        "note": each.note,
    }
