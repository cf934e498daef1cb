"""Stops that cannot be skipped before an animal moves in: what to test, how, and by whom it was done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from sunfleck.brief.build import Brief
from sunfleck.plan.read_survey import SurveySource

PRACTICE = "common practice, no source"


@dataclass(frozen=True)
class HoldPoint:
    """One stop.

    Attributes
    ----------
    key : str
        How it is named in a survey's `held`.
    what, how : str
        In a builder's words.
    by, date, note : str
        Who did it and when; "" where nobody has.
    """

    key: str
    what: str
    how: str
    by: str = ""
    date: str = ""
    note: str = ""

    @property
    def done(self) -> bool:
        """Whether somebody put a name to it."""
        return bool(self.by)


def hold_points(brief: Brief, surveys: Sequence[SurveySource]) -> tuple[HoldPoint, ...]:
    """Return the stops of a plan, with who has passed them.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    surveys : sequence of SurveySource
        Whose `held` says what was done; the latest counts.

    Returns
    -------
    points : tuple of HoldPoint
        In the order in which they are passed. Common practice, no source.
    """
    held = {each.what: each for source in surveys for each in source.survey.held}
    found = []
    for point in _points(brief):
        done = held.get(point.key)
        passed = {} if done is None else {"by": done.by, "date": done.date, "note": done.note or ""}
        found.append(replace(point, **passed))
    return tuple(found)


def _points(brief: Brief) -> Iterator[HoldPoint]:
    plan = brief.plan
    if plan.substrate is not None or plan.plants:
        yield HoldPoint(
            "leak",
            "the tray holds water",
            "fill it to the lip, mark the level, look after 24 to 48 h, and below it with dry paper",
        )
    yield HoldPoint(
        "smell", "nothing smells", "close it for a day with all lamps on; no smell of sealant or paint"
    )
    for perch in plan.perches:
        yield HoldPoint(
            f"proof-load {perch.name}",
            f"{perch.name} holds",
            "hang 25 kg from its middle for 10 min, nobody below, hands off; nothing gives, turns or creaks",
        )
    yield HoldPoint(
        "residual current",
        "residual-current device and earth",
        "press its test button: all goes dark. Anything beyond the button is for a licensed electrician",
    )
    for fixture in brief.fixtures:
        if fixture.fixture.control is not None:
            yield HoldPoint(
                f"probe {fixture.name}",
                f"{fixture.name} survives a probe that failed",
                "lay the probe on the cool floor, then pull it out: the lamp must stop by its cut-out or stay below "
                "what the climate page says; stay beside it",
            )
    yield HoldPoint(
        "burn-in",
        "a day with all lamps, attended",
        "24 h as the timers have it, somebody in the house; after 4 h read guards, holders, plugs and perches by thermometer",
    )
    if any(lamp.fixture.guard is None for lamp in brief.fixtures) or brief.guards:
        yield HoldPoint(
            "guards", "guards and tethers", "pull each lamp, guard and tether by hand: none comes off"
        )
    yield HoldPoint(
        "escape",
        "nothing gets out",
        "put feeders in for a night, lamps on and off; look outside, in vents, runners, cable holes and behind panels",
    )
    yield HoldPoint("lock", "doors lock", "close and lock each; push from inside as hard as the animal can")
    yield HoldPoint(
        "logs",
        "a week of readings",
        "7 to 14 days of minimum and maximum at warm end, cool end and night, all in range",
    )
