"""How the lamps of a plan fade from one meter round to the next, and when a floor will be missed."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.draws import standard_normals
from sunfleck.brief.factors import SEED
from sunfleck.brief.givens import number
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.physics.ageing import Fading, fading_of, hours_left
from sunfleck.plan.read_survey import SurveySource
from sunfleck.plan.rules.names import slug
from sunfleck.studies.meter.calibration import Calibration, Compared
from sunfleck.studies.meter.things import Thing
from sunfleck.studies.report import Verdict

Floats = NDArray[np.float64]

SEED_OF_AGEING = SEED + 4
# A lamp of which nobody says how long it has burned is taken as run in. [h]
RUN_IN = 100.0
HUNDRED = 100.0
NINE_OF_TEN = (5.0, 50.0, 95.0)
# Farther off nothing is told: no tube lasts so long. [h]
FARTHEST = 20_000.0
LEAST = 1e-3


@dataclass(frozen=True, eq=False)
class LampAge:
    """One lamp over its meter rounds.

    Attributes
    ----------
    fixture : str
        Its name.
    hours : tuple of float
        That it had burned at each round. [h]
    outputs : tuple of float
        Of its UV then, against what the plan has of it. [-]
    fading : Fading
        Fitted to them, with its class's rate as one more reading.
    a_day : float
        How long it is lit. [h]
    """

    fixture: str
    hours: tuple[float, ...]
    outputs: tuple[float, ...]
    fading: Fading
    a_day: float

    @property
    def per_hundred(self) -> float:
        """Share of its UV lost in 100 h. [-]"""
        return -float(np.expm1(-HUNDRED * self.fading.rate))


@dataclass(frozen=True)
class Due:
    """When the least UV an animal needs will be missed.

    Attributes
    ----------
    verdict : str
        Id of the floor's verdict.
    earliest, expected, latest : str
        Days, year-month-day; "" where that lies farther off than lamps last.
    missed : bool
        Whether it is missed already, more likely than not.
    """

    verdict: str
    earliest: str
    expected: str
    latest: str
    missed: bool


def lamps_over(
    brief: Brief, surveys: Sequence[SurveySource], calibrations: Sequence[Calibration]
) -> tuple[LampAge, ...]:
    """Fit how each UV lamp fades.

    Parameters
    ----------
    brief : Brief
        The plan without readings.
    surveys : sequence of SurveySource
        By date.
    calibrations : sequence of Calibration
        What each says by itself.

    Returns
    -------
    lamps : tuple of LampAge
        Of lamps whose UV was read in at least one of them.
    """
    return tuple(_lamps_over(brief, surveys, calibrations))


def _lamps_over(
    brief: Brief, surveys: Sequence[SurveySource], calibrations: Sequence[Calibration]
) -> Iterator[LampAge]:
    for fixture in brief.fixtures:
        if "uvi" not in fixture.outputs or fixture.lamp.uv_fading is None:
            continue
        burned = _hours(fixture, surveys)
        rounds = [
            _Round(burned[source.name], calibration, _read_of(fixture, calibration))
            for source, calibration in zip(surveys, calibrations, strict=True)
        ]
        rounds = _of_this_tube([each for each in rounds if each.read])
        if not rounds:
            continue
        thing = [
            Thing("", "", "lamp", each.calibration.brief.fixtures[fixture.index].outputs["uvi"].factors)
            for each in rounds
        ]
        outputs = [each.expected(one.calibration.brief) for each, one in zip(thing, rounds, strict=True)]
        levels, spreads = _levels(rounds) or (
            outputs,
            [
                max(LEAST, float(each.logarithms(one.calibration.brief).std()))
                for each, one in zip(thing, rounds, strict=True)
            ],
        )
        sourced = fixture.lamp.uv_fading
        rate = number(sourced) / HUNDRED
        hours = [each.hours for each in rounds]
        fading = fading_of(hours, levels, spreads, rate, rate * max(sourced.spread_low, sourced.spread_high))
        shown = tuple(float(np.exp(level)) for level in outputs)
        yield LampAge(fixture.name, tuple(hours), shown, fading, _a_day(fixture))


@dataclass(frozen=True, eq=False)
class _Round:
    """A meter round of one lamp: its hours then, and its readings by place and way of reading."""

    hours: float
    calibration: Calibration
    read: dict[tuple[object, ...], Compared]


def _of_this_tube(rounds: list[_Round]) -> list[_Round]:
    """Rounds since the last time its hours fell: then another tube was put in."""
    begins = [k for k in range(1, len(rounds)) if rounds[k].hours < rounds[k - 1].hours]
    return rounds[begins[-1] :] if begins else rounds


def _read_of(fixture: FixtureBrief, calibration: Calibration) -> dict[tuple[object, ...], Compared]:
    """Readings of UV with a lamp on, by what must be the same for two to be held against each other."""
    found: dict[tuple[object, ...], Compared] = {}
    for each in calibration.compared:
        reading = each.reading
        if reading.quantity == "uvi" and fixture.name in reading.lit and not each.left_out and not each.odd:
            place = tuple(np.round(reading.point, 3))
            found[place, reading.hold, reading.lit, reading.lifted, slug(reading.meter)] = each
    return found


def _levels(rounds: Sequence[_Round]) -> tuple[list[float], list[float]] | None:
    """Level and spread of each round by the places read with one meter in all of them; None where there are none.

    What does not change from round to round (meter, mesh, which of two lamps is the weaker) is then in none of the
    differences; lamps that were always read together are taken to fade alike.
    """
    common = set.intersection(*(set(each.read) for each in rounds))
    if len(rounds) < 2 or not common:
        return None
    levels, spreads = [], []
    for each in rounds:
        read = [each.read[key] for key in sorted(common, key=str)]
        logs = [one.reading.measured - float(np.log(one.before)) for one in read]
        errors = [one.error for one in read]
        levels.append(float(np.mean(logs)))
        spreads.append(max(LEAST, float(np.sqrt(np.sum(np.square(errors))) / len(errors))))
    return levels, spreads


def _a_day(fixture: FixtureBrief) -> float:
    return sum(end - start for start, end in fixture.hours) / 3600.0


def _hours(fixture: FixtureBrief, surveys: Sequence[SurveySource]) -> Mapping[str, float]:
    """Hours burned at each survey: as it says, or counted on by the timer from the one before. [h]"""
    found: dict[str, float] = {}
    before: tuple[datetime.date, float] | None = None
    for source in surveys:
        day = datetime.date.fromisoformat(source.survey.date)
        written = source.survey.lamp_hours.get(fixture.name)
        if written is not None:
            hours = written / 3600.0
        elif before is not None:
            hours = before[1] + _a_day(fixture) * (day - before[0]).days
        else:
            hours = fixture.fixture.age / 3600.0 if fixture.fixture.age is not None else RUN_IN
        found[source.name] = hours
        before = (day, hours)
    return found


def due_of(verdict: Verdict, worlds: Floats, lamps: Sequence[LampAge], day: str) -> Due | None:
    """Say when a floor will be missed.

    Parameters
    ----------
    verdict : Verdict
        Of a floor, after the last meter round.
    worlds : (rows,) float
        What is judged by it, in every world. [UVI]
    lamps : sequence of LampAge
        Of the plan; the floor fades with the one that fades quickest.
    day : str
        Of the last meter round.

    Returns
    -------
    due : Due or None
        None where there is no floor or no lamp was read.
    """
    floor = next((n.value for n in verdict.numbers if n.id == f"{verdict.id}.floor"), None)
    if floor is None or floor <= 0 or not lamps:
        return None
    margins = np.log(np.clip(worlds, 1e-9, None) / floor)
    drawn = standard_normals(len(worlds), len(lamps), SEED_OF_AGEING, shuffled=True)
    left = np.full(len(worlds), np.inf)
    for k, lamp in enumerate(lamps):
        rates = lamp.fading.rate + drawn[:, k] * np.sqrt(lamp.fading.covariance[1, 1])
        hours = hours_left(margins, np.clip(rates, 0.0, None))
        left = np.minimum(left, hours / max(lamp.a_day, 1e-9))
    earliest, expected, latest = (float(x) for x in np.percentile(left, NINE_OF_TEN, method="nearest"))
    farthest = FARTHEST / max(1e-9, *(lamp.a_day for lamp in lamps))
    sooner, usual, later = (_day(day, x) if x <= farthest else "" for x in (earliest, expected, latest))
    return Due(verdict.id, sooner, usual, later, missed=expected <= 0.0)


def _day(start: str, days: float) -> str:
    return (datetime.date.fromisoformat(start) + datetime.timedelta(days=round(days))).isoformat()
