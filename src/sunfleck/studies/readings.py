"""What the readings under each lamp say: how well they fit, what they leave open, and slips to ask about."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from sunfleck.brief.build import Brief
from sunfleck.brief.evidence import ODD, UNITS, Fitted, Reading
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.brief.shapes import below_the_middle
from sunfleck.plan.rules.names import slug
from sunfleck.studies.trace import Number, Step, number_of_step, step_of_given
from sunfleck.units import format_quantity

INCH = 2.54
# Nobody reads a lamp from nearer. [m]
NEAREST = 0.02
# What a fly screen lets through, the middle of those in the library. [-]
SCREEN = 0.62
# What stays open of a mesh is said from here on. [-]
WORTH_SAYING = 0.05
# A cause is named where with it the reading would be this many standard deviations off at most.
EXPLAINS = 2.0


@dataclass(frozen=True)
class ReadingSaid:
    """One reading against what the fitted lamp would give there.

    Attributes
    ----------
    id : str
        ``reading:LAMP:CHANNEL:NUMBER``.
    words : str
        Where and how it was taken.
    numbers : tuple of Number
        ``read``, ``fits`` (what the fitted lamp gives there), ``ratio`` (read over that), and with others beside it
        ``off``: how far from what the others say, in standard deviations.
    """

    id: str
    words: str
    numbers: tuple[Number, ...]

    def number(self, name: str) -> Number:
        """Return one of its numbers by the last part of its id."""
        return next(number for number in self.numbers if number.id == f"{self.id}.{name}")

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        numbers = {number.id.rsplit(".", 1)[1]: number.to_dict() for number in self.numbers}
        return {"id": self.id, "words": self.words, "numbers": numbers}


@dataclass(frozen=True)
class LampReadings:
    """All readings of one channel under one lamp.

    Attributes
    ----------
    lamp, channel : str
        Which.
    readings : tuple of ReadingSaid
        In the plan's order.
    untold : tuple of str
        What these readings cannot tell.
    questions : tuple of str
        What may be a slip.
    """

    lamp: str
    channel: str
    readings: tuple[ReadingSaid, ...]
    untold: tuple[str, ...]
    questions: tuple[str, ...]

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "lamp": self.lamp,
            "channel": self.channel,
            "readings": [reading.to_dict() for reading in self.readings],
            "cannot_tell": list(self.untold),
            "questions": list(self.questions),
        }


def readings_of(brief: Brief) -> tuple[LampReadings, ...]:
    """Return what the readings in a plan say.

    Parameters
    ----------
    brief : Brief
        The resolved plan.

    Returns
    -------
    readings : tuple of LampReadings
        One for each lamp and channel that was read.
    """
    return tuple(
        LampReadings(
            fixture.name,
            fitted.channel,
            tuple(_said(brief, fixture, fitted, k) for k in range(len(fitted.readings))),
            tuple(_untold(brief, fixture, fitted)),
            tuple(_questions(brief, fixture, fitted)),
        )
        for fixture in brief.fixtures
        for fitted in fixture.fitted
    )


def _said(brief: Brief, fixture: FixtureBrief, fitted: Fitted, k: int) -> ReadingSaid:
    reading, unit = fitted.readings[k], UNITS[fitted.channel]
    id_ = f"reading:{slug(fixture.name)}:{fitted.channel}:{k + 1}"
    read = Step(
        f"read with {reading.meter}", reading.value, unit, "given", (), "the plan", "measured", reading.where
    )
    fits = _fits(fixture, fitted, reading)
    inverse = Step(
        "one over what fits", 1.0 / fits.value, f"1/{unit}", "computed", (), "as explained there", "derived"
    )
    ratio = Step(f"{read.label}, over what fits", read.value * inverse.value, "", "product", (read, inverse))
    steps = [("read", read), ("fits", fits), ("ratio", ratio)]
    if len(fitted.readings) > 1:
        off = float(fitted.fit.apart[k] / fitted.fit.apart_spread[k])
        method = "its logarithm less the level fitted to the others, over the standard deviation of that"
        label = "how far off what the others say, in standard deviations"
        steps.append(("off", Step(label, off, "", "computed", (), method, "derived")))
    numbers = tuple(number_of_step(f"{id_}.{name}", step) for name, step in steps)
    return ReadingSaid(id_, _words(brief, reading), numbers)


def _fits(fixture: FixtureBrief, fitted: Fitted, reading: Reading) -> Step:
    """What the fitted lamp gives where a reading was taken, through what it was taken through."""
    output = tuple(step_of_given(part) for part in fitted.parts)
    arrives = Step(
        "what arrives there of its output",
        reading.value / reading.tells,
        "m-2",
        "computed",
        (),
        "closed form in the open, through what the reading names",
        "derived",
    )
    value = float(np.prod([step.value for step in (*output, arrives)]))
    return Step(
        f"what {fixture.name} gives there by all its readings",
        value,
        UNITS[fitted.channel],
        "product",
        (*output, arrives),
    )


def _words(brief: Brief, reading: Reading) -> str:
    distance = format_quantity(reading.distance, "length", brief.plan.show_units)
    through = (
        f" through {' and '.join(medium.label for medium in reading.through)}" if reading.through else ""
    )
    return f"{distance} below{through}, {reading.meter}"


def _untold(brief: Brief, fixture: FixtureBrief, fitted: Fitted) -> Iterator[str]:
    """What the readings leave together: the largest first."""
    name, readings = fixture.name, fitted.readings
    for power in fitted.factors:
        factor = brief.matrix.factors[power.column]
        left = abs(power.exponent) * max(brief.matrix.spread(power.column))
        if factor.group == "meter" and left > 0:
            yield (
                f"whether {name} gives more or {factor.label} reads high: {left:.0%} either way stays, two times of "
                "three, until a second meter reads it"
            )
        if factor.group == "medium" and left > WORTH_SAYING:
            label = factor.label.removeprefix("light through ")
            yield (
                f"what {name} gives and what {label} lets through, one from the other ({left:.0%}); under it that does "
                "not matter, elsewhere it does: a bare reading tells"
            )
    if len({round(reading.distance, 3) for reading in readings}) == 1:
        yield f"a slip of the distance under {name}: all was read at one; a reading farther off would show it"
    yield f"what {name} gives to the side: it was read below its middle"


def _questions(brief: Brief, fixture: FixtureBrief, fitted: Fitted) -> Iterator[str]:
    """Gross slips: a reading that the others contradict, or all of them against the lamp's class."""
    unit = UNITS[fitted.channel]
    fit = fitted.fit
    off = np.abs(fit.apart) / fit.apart_spread
    worst = int(off.argmax())
    if off[worst] > ODD:
        reading = fitted.readings[worst]
        said = f"{reading.value:g} {unit} at {_distance(brief, reading)} under {fixture.name}"
        alone = len(fitted.readings) > 2  # of two that differ either may be the wrong one
        who = "the other readings say" if alone else "the other reading says"
        yield (
            f"the readings under {fixture.name}: {said} is {_times(fit.apart[worst])} what {who}"
            f"{_cause(brief, fixture, reading, fit.apart[worst], fit.apart_spread[worst])}"
        )
    elif abs(fitted.off_class) > ODD * fitted.off_class_spread:
        yield (
            f"the readings under {fixture.name}: all of them say {_times(fitted.off_class)} what lamps of this class "
            f"give{_cause(brief, fixture, fitted.readings[0], fitted.off_class, fitted.off_class_spread)}"
        )


def _cause(brief: Brief, fixture: FixtureBrief, reading: Reading, off: float, spread: float) -> str:
    """The slip that explains best why a reading is off, asked about; a general question if none does."""
    system = brief.plan.show_units
    inches, centimetres = reading.distance * INCH, reading.distance / INCH
    causes = [
        (np.log(0.1), f"a decimal point ({reading.value / 10:g} would fit)"),
        (np.log(10.0), f"a decimal point ({reading.value * 10:g} would fit)"),
    ]
    for distance, why in ((inches, "inches written as centimetres"), (centimetres, "centimetres for inches")):
        if distance > NEAREST:
            shift = float(
                np.log(reading.bare / below_the_middle(fixture.lamp, distance, beam=fixture.photometric))
            )
            shown = format_quantity(distance, "length", system)
            causes.append((shift, f"{why} ({shown} would fit)"))
    if not reading.through:
        causes.append((-np.log(SCREEN), "a mesh still in between (`through: [...]`)"))
    left, words = min((abs(off + shift), words) for shift, words in causes)
    if left < EXPLAINS * spread:
        return f". Is it {words}?"
    return ". Is it a slip of distance, unit, decimal point, or of the lamp that was read?"


def _distance(brief: Brief, reading: Reading) -> str:
    return format_quantity(reading.distance, "length", brief.plan.show_units)


def _times(log: float) -> str:
    ratio = float(np.exp(log))
    return f"{ratio:.1f} times" if ratio >= 1 else f"{ratio:.2f} of"
