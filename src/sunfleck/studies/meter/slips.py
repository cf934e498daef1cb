"""Slips of the hand behind a reading that cannot be right: asked about, never corrected unasked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from sunfleck.studies.meter.calibration import Compared
from sunfleck.studies.meter.meter_readings import MeterReading
from sunfleck.units import System, format_quantity

# A cause is named where with it the reading would be so far off at most. [-]
EXPLAINS = 2.0
ZERO_CELSIUS = 273.15
# Below this one decimal says nothing. [UVI]
SMALL = 0.5
UNITS = {"uvi": "", "lux": " lux", "ppfd": " \u00b5mol/m\u00b2s"}
NAMES = {
    "uvi": "UV index",
    "lux": "brightness",
    "ppfd": "plant light",
    "surface": "surface",
    "air": "air",
    "humidity": "humidity",
}


@dataclass(frozen=True)
class Slip:
    """One way in which a reading may have gone wrong.

    Attributes
    ----------
    kind : str
        ``decimal point``, ``thousand``, ``fahrenheit``, ``station``, ``mesh``.
    question : str
        As it is asked.
    instead : float or None
        What would then have been read; None where the place is in question, not the value.
    """

    kind: str
    question: str
    instead: float | None


def slips_of(each: Compared, others: Sequence[Compared], system: System) -> tuple[Slip, ...]:
    """Return what may have gone wrong with a reading, the likeliest first.

    Parameters
    ----------
    each : Compared
        A reading that cannot be right.
    others : sequence of Compared
        All readings.
    system : str
        Units that its reader reads.

    Returns
    -------
    slips : tuple of Slip
        None where nothing that is known explains it.
    """
    found = sorted(_slips(each, others, system), key=lambda pair: pair[0])
    return tuple(slip for _, slip in found)


def _slips(each: Compared, others: Sequence[Compared], system: System) -> Iterator[tuple[float, Slip]]:
    reading = each.reading
    for kind, value, words in _other_values(reading):
        off = _off(each, value)
        if off <= EXPLAINS:
            shown = said_of(reading, value, system)
            yield off, Slip(kind, f"{words}: was it {shown}?", value)
    for other in others:
        if other is each or other.left_out or not _alike(reading, other.reading):
            continue
        if other.reading.station == reading.station:
            continue
        off = abs(_scaled(reading, reading.value) - _scaled(reading, other.after)) / _width(each)
        if off <= EXPLAINS / 2:
            # Said last: many places may read alike.
            yield (
                EXPLAINS + off,
                Slip("station", f"it fits station {other.reading.station}: was it read there?", None),
            )


def _other_values(reading: MeterReading) -> Iterator[tuple[str, float, str]]:
    """Yield what may have been meant."""
    if reading.of_light:
        for kind, factor, words in (
            ("decimal point", 10.0, "a decimal point"),
            ("decimal point", 0.1, "a decimal point"),
            ("thousand", 1000.0, "thousands left out"),
            ("thousand", 0.001, "thousands too many"),
        ):
            yield kind, reading.value * factor, words
    elif reading.quantity in ("air", "surface"):
        celsius = reading.value - ZERO_CELSIUS
        yield "fahrenheit", (celsius - 32.0) / 1.8 + ZERO_CELSIUS, "degrees Fahrenheit written as Celsius"
        yield "fahrenheit", celsius * 1.8 + 32.0 + ZERO_CELSIUS, "degrees Celsius written as Fahrenheit"


def _off(each: Compared, value: float) -> float:
    """How far a value is from what the others say, in standard deviations. [-]"""
    return abs(_scaled(each.reading, value) - _scaled(each.reading, each.said)) / _width(each)


def _width(each: Compared) -> float:
    reading = each.reading
    return (_scaled(reading, each.said_high) - _scaled(reading, each.said_low)) / (2 * 1.645)


def _scaled(reading: MeterReading, value: float) -> float:
    return float(np.log(max(value, 1e-6))) if reading.of_light else value


def _alike(one: MeterReading, other: MeterReading) -> bool:
    return (one.quantity, one.lit, one.lifted, one.hold) == (
        other.quantity,
        other.lit,
        other.lifted,
        other.hold,
    )


def said_of(reading: MeterReading, value: float, system: System) -> str:
    """A value of a reading's kind, as a builder reads it."""
    if reading.quantity in ("air", "surface"):
        return format_quantity(value, "temperature", system)
    if reading.quantity == "humidity":
        return f"{100 * value:.0f} %"
    digits = 0 if reading.quantity != "uvi" else 2 if value < SMALL else 1
    return f"{value:,.{digits}f}{UNITS[reading.quantity]}"
