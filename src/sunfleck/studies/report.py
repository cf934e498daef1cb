"""What a check says: verdicts, what each place gets, and what was not checked."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sunfleck.studies.readings import LampReadings
from sunfleck.studies.rule import State
from sunfleck.studies.trace import Number

SCHEMA = 1


@dataclass(frozen=True)
class Verdict:
    """One question about one animal, answered.

    Attributes
    ----------
    id : str
        ``QUESTION:ANIMAL``.
    question : str
        What was asked, in a builder's words.
    animal : str
        The animal's name.
    state : str
        ``meets``, ``short``, ``over`` or ``unknown``.
    sentence : str
        The answer in words.
    place : str
        Where, or "" when it is about the whole.
    numbers : tuple of Number
        What the answer rests on: expected, low, high, wanted range, chances.
    advice : str
        What to do or to measure; "" when nothing is.
    adjustment : str
        Whether moving the lamps within their brackets brings the whole range into what is wanted; "" where that is
        not asked.
    at : (3,) float or None
        Where in the box that is; None where it is about the whole, or about a thing that its words name. [m]
    """

    id: str
    question: str
    animal: str
    state: State
    sentence: str
    place: str
    numbers: tuple[Number, ...]
    advice: str
    adjustment: str = ""
    at: tuple[float, float, float] | None = None

    def number(self, name: str) -> Number:
        """Return one of its numbers by the last part of its id."""
        return next(number for number in self.numbers if number.id == f"{self.id}.{name}")

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "id": self.id,
            "question": self.question,
            "animal": self.animal,
            "state": self.state,
            "sentence": self.sentence,
            "place": self.place,
            "advice": self.advice,
            "adjustment": self.adjustment,
            "numbers": {number.id.rsplit(".", 1)[1]: number.to_dict() for number in self.numbers},
        }


@dataclass(frozen=True)
class Exposure:
    """What one place, or all within reach, gets in one channel.

    Attributes
    ----------
    id : str
        ``perch:ANIMAL:NAME:CHANNEL`` and alike.
    animal, place, channel : str
        Whose back, where, which light.
    numbers : tuple of Number
        ``least`` and ``low``, ``expected``, ``high`` of the brightest point.
    """

    id: str
    animal: str
    place: str
    channel: str
    numbers: tuple[Number, ...]

    def number(self, name: str) -> Number:
        """Return one of its numbers by the last part of its id."""
        return next(number for number in self.numbers if number.id == f"{self.id}.{name}")

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "id": self.id,
            "animal": self.animal,
            "place": self.place,
            "channel": self.channel,
            "numbers": {number.id.rsplit(".", 1)[1]: number.to_dict() for number in self.numbers},
        }


@dataclass(frozen=True)
class Report:
    """The answer to ``check``.

    Attributes
    ----------
    plan : str
        The plan's name.
    lit : str
        Which lamps are lit in the hours that floors are judged in, and when.
    box : str
        How large it is inside, and how places in it are told.
    lamps : tuple of str
        What hangs where.
    verdicts : tuple of Verdict
        In the order of the animals.
    accepted : dict of str to str
        By animal, who accepted its targets and when; "" where nobody has.
    exposures : tuple of Exposure
        What every perch and place gets.
    readings : tuple of LampReadings
        What the readings in the plan say.
    open_points : tuple of str
        What this plan leaves open.
    not_computed : tuple of str
        What this program does not compute yet.
    cautions : tuple of str
        Where the work can hurt someone.
    notices : tuple of str
        What a reader should know of the basis.
    version, library_hash : str
        What it was computed with.
    surveys, too_old : tuple of str
        Meter rounds that are in it, by name, and those that a newer one replaces.
    """

    plan: str
    lit: str
    box: str
    lamps: tuple[str, ...]
    verdicts: tuple[Verdict, ...]
    accepted: dict[str, str]
    exposures: tuple[Exposure, ...]
    readings: tuple[LampReadings, ...]
    open_points: tuple[str, ...]
    not_computed: tuple[str, ...]
    cautions: tuple[str, ...]
    notices: tuple[str, ...]
    version: str
    library_hash: str
    surveys: tuple[str, ...] = ()
    too_old: tuple[str, ...] = ()

    @property
    def not_checked(self) -> tuple[str, ...]:
        """Everything that was not checked: open points of the plan, then what is not computed."""
        return (*self.open_points, *self.not_computed)

    @property
    def exit_code(self) -> int:
        """0 when all verdicts meet, 1 when one is short or over, 3 when the worst is unknown or none is given."""
        states = {verdict.state for verdict in self.verdicts}
        if states & {"short", "over"}:
            return 1
        return 3 if "unknown" in states or not states else 0

    def numbers(self) -> dict[str, Number]:
        """Every number shown, by id."""
        shown = [number for verdict in self.verdicts for number in verdict.numbers]
        shown += [number for exposure in self.exposures for number in exposure.numbers]
        shown += [number for lamp in self.readings for said in lamp.readings for number in said.numbers]
        return {number.id: number for number in shown}

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "schema": SCHEMA,
            "program": f"sunfleck {self.version}",
            "library": self.library_hash,
            "plan": self.plan,
            "surveys": list(self.surveys),
            "too_old": list(self.too_old),
            "lit": self.lit,
            "box": self.box,
            "lamps": list(self.lamps),
            "exit_code": self.exit_code,
            "verdicts": [verdict.to_dict() for verdict in self.verdicts],
            "accepted": self.accepted,
            "exposures": [exposure.to_dict() for exposure in self.exposures],
            "readings": [lamp.to_dict() for lamp in self.readings],
            "not_checked": list(self.not_checked),
            "notices": list(self.notices),
            "cautions": list(self.cautions),
        }
