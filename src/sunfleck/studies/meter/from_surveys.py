"""Surveys as the study takes them: readings in SI units, corrected by what their instruments are known to be off."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from sunfleck.physics.salt_points import salt_correction
from sunfleck.plan.models import Plan
from sunfleck.plan.read_survey import SurveySource, place_of
from sunfleck.plan.rules.names import slug
from sunfleck.plan.surveys import HEAT, LIGHT, Instrument, Reads
from sunfleck.studies.meter.meter_readings import METER, SCATTER, THERMOMETER, MeterReading
from sunfleck.units import System, format_quantity

# One standard deviation of a reading's own. Common practice, no source: a surface thermometer is pressed on more or
# less well; air of one height differs from place to place. [K]
TOUCH, PLACE = 0.7, 0.7


def readings_in(surveys: Sequence[SurveySource], plan: Plan) -> tuple[MeterReading, ...]:
    """Take the readings out of surveys.

    Parameters
    ----------
    surveys : sequence of SurveySource
        Checked against the plan.
    plan : Plan
        Whose stations and lamps they name.

    Returns
    -------
    readings : tuple of MeterReading
        Every value one reading, survey by survey.
    """
    return tuple(reading for source in surveys for reading in _of_one(source, plan))


def _of_one(source: SurveySource, plan: Plan) -> Iterator[MeterReading]:
    survey = source.survey
    for i, reading in enumerate(survey.readings):
        point, hold = place_of(reading, plan)
        station = reading.at if isinstance(reading.at, str) else _place_words(point, plan.show_units)
        for quantity, value in reading.values.items():
            instrument = _instrument(source, reading.with_, quantity)
            yield MeterReading(
                survey=source.name,
                station=station,
                point=np.array(point),
                quantity=quantity,
                value=_corrected(value, quantity, instrument),
                hold=hold,
                meter=reading.with_,
                shared=_shared(quantity, instrument),
                own=SCATTER if quantity in LIGHT else PLACE if quantity == "air" else TOUCH,
                lit=source.lit(reading, plan),
                lifted=reading.mesh == "lifted",
                room=survey.room,
                burned=survey.warm_up if survey.warm_up is not None else 0.0,
                where=source.line_of(("readings", i)),
                levels=tuple(sorted(survey.levels.items())),
                note=reading.note or "",
            )


def _place_words(point: tuple[float, float, float], system: System) -> str:
    return ", ".join(
        f"{axis} {format_quantity(value, 'length', system)}" for axis, value in zip("xyz", point, strict=True)
    )


def _instrument(source: SurveySource, name: str, quantity: Reads) -> Instrument | None:
    """The entry of an instrument for a quantity; a device may stand twice."""
    named = [each for each in source.survey.instruments if slug(each.name) == slug(name)]
    return next((each for each in named if quantity in each.reads), named[0] if named else None)


def _corrected(value: float, quantity: Reads, instrument: Instrument | None) -> float:
    if instrument is None:
        return value
    if quantity in LIGHT:
        return value * (instrument.factor or 1.0)
    if quantity in HEAT:
        return value - (instrument.offset or 0.0)
    if instrument.salt is None or instrument.salt_at is None or instrument.salt_read is None:
        return value
    return value + float(salt_correction(instrument.salt, instrument.salt_at, instrument.salt_read))


def _shared(quantity: Reads, instrument: Instrument | None) -> float:
    if instrument is None:
        return METER if quantity in LIGHT else THERMOMETER
    stated = instrument.accuracy
    fits = (stated.kind == "temperature_difference") == (quantity in HEAT)
    if fits:
        return stated.value
    return METER if quantity in LIGHT else THERMOMETER
