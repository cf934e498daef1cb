"""What in a survey looks like a slip: asked about, never refused."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

from sunfleck.plan.read_survey import SurveySource
from sunfleck.plan.surveys import LIGHT, QUANTITIES, Reading
from sunfleck.service.surveys import humidity_correction
from sunfleck.studies.meter.slips import NAMES

# Common practice, no source: what readings in enclosures stay within, in SI units.
USUAL = {
    "uvi": (0.0, 15.0, "a UV index above 15"),
    "lux": (0.0, 150_000.0, "more light than the noon sun gives"),
    "ppfd": (0.0, 2_500.0, "more plant light than the noon sun gives"),
    "surface": (278.15, 343.15, "a surface colder than 5 degC or hotter than 70 degC"),
    "air": (278.15, 328.15, "air colder than 5 degC or hotter than 55 degC"),
    "humidity": (0.05, 1.0, "a humidity below 5 %"),
}
# Common practice, no source: tubes and discharge lamps give steady light after this long. [s]
WARM = 20 * 60.0
# Two readings of one thing farther apart than this are rather a misplaced point than a change. [-]
FAR_APART = 4.0
# A meter is sent in about once a year; common practice, no source. [days]
CALIBRATED_FOR = 2 * 365
# Over a salt a hygrometer this far off is rather a salt mixed up. [-]
SALT_FAR = 0.10


@dataclass(frozen=True, slots=True)
class Slip:
    """Something to look at again.

    Attributes
    ----------
    where : str
        ``file:line``.
    question : str
        What is asked.
    reading : int or None
        Which reading, from 0.
    """

    where: str
    question: str
    reading: int | None = None

    def to_dict(self) -> dict[str, str | int | None]:
        """Return it as plain data for JSON."""
        return {"where": self.where, "question": self.question, "reading": self.reading}


def slips_in(source: SurveySource, since: int = 0) -> tuple[Slip, ...]:
    """Return what looks like a slip.

    Parameters
    ----------
    source : SurveySource
        The survey.
    since : int
        Readings before this one are not asked about again; with it the survey's head is not either. [-]

    Returns
    -------
    slips : tuple of Slip
        In the order of the file.
    """
    found = [] if since else list(_of_the_head(source))
    for i, reading in enumerate(source.survey.readings[since:], since):
        found += [
            Slip(source.line_of(("readings", i)), asked, i) for asked in _of_a_reading(source, i, reading)
        ]
    return tuple(found)


def _of_the_head(source: SurveySource) -> Iterator[Slip]:
    survey = source.survey
    if (
        survey.warm_up is not None
        and survey.warm_up < WARM
        and any(r.values.keys() & set(LIGHT) for r in survey.readings)
    ):
        asked = f"lamps warmed up for less than {WARM / 60:g} min: was the light steady?"
        yield Slip(source.line_of(("warm_up",)), asked)
    for i, instrument in enumerate(survey.instruments):
        if instrument.calibrated is not None:
            days = (_day(survey.date) - _day(instrument.calibrated)).days
            if days < 0:
                asked = f"{instrument.name} was calibrated after the survey: is the date right?"
                yield Slip(source.line_of(("instruments", i, "calibrated")), asked)
            elif days > CALIBRATED_FOR:
                asked = f"{instrument.name} was calibrated {days / 365:.1f} years before: is its accuracy still so?"
                yield Slip(source.line_of(("instruments", i, "calibrated")), asked)
        correction = humidity_correction(instrument)
        if correction is not None and abs(correction) > SALT_FAR:
            off = f"{100 * abs(correction):.0f} points {'too little' if correction > 0 else 'too much'}"
            asked = f"{instrument.name} reads {off} over {instrument.salt}: is it that salt, wet, after hours in the jar?"
            yield Slip(source.line_of(("instruments", i, "salt_read")), asked)


def _day(text: str) -> datetime.date:
    return datetime.date.fromisoformat(text)


def _of_a_reading(source: SurveySource, number: int, reading: Reading) -> Iterator[str]:
    for key, value in reading.values.items():
        low, high, words = USUAL[key]
        if not low <= value <= high:
            yield f"{source.document.raw(('readings', number, key))} is {words}: is the unit, and the point, right?"
    lit = reading.lit if reading.lit is not None else source.survey.lit
    if lit == () and any(value > 0 for key, value in reading.values.items() if key in LIGHT):
        yield "light was read with no lamp lit: from where did it come?"
    alike = [
        (i, other)
        for i, other in enumerate(source.survey.readings[:number])
        if (other.at, other.mesh, other.lit, other.hold)
        == (reading.at, reading.mesh, reading.lit, reading.hold)
    ]
    for i, other in alike:
        line = source.document.mark(("readings", i)).line
        if (other.values, other.with_, other.time) == (reading.values, reading.with_, reading.time):
            yield f"line {line} says the same: was it entered twice?"
        for key in QUANTITIES[:3]:
            one, two = reading.values.get(key, 0.0), other.values.get(key, 0.0)
            if one > 0 and two > 0 and not 1 / FAR_APART <= one / two <= FAR_APART:
                times = f"{max(one / two, two / one):.0f} times {'more' if one > two else 'less'}"
                yield f"{NAMES[key]}: {times} than in line {line}, at the same place: is the decimal point right, and the place?"
