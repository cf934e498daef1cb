"""What a meter round says, as text for a terminal and for a sheet to sign."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sunfleck.outputs.verdict_words import SIGNS, worst_first, wrapped
from sunfleck.studies.meter.calibration import Compared
from sunfleck.studies.meter.report import MeterReport, Rejudged
from sunfleck.studies.meter.slips import NAMES, said_of
from sunfleck.studies.meter.things import Learned
from sunfleck.units import System, format_quantity

CAUTIONS = (
    "UV and eyes: never look into a lit UV lamp; glasses that stop UV while reading, and no longer at it than needed",
    "lamps, guards and holders burn: read first, touch last; nobody reaches across a hot lamp",
    "mains near water: dry hands, plugs out before anything is moved; fixed wiring is for a licensed electrician",
    "no animal is inside while its enclosure is read or tested; one that is unwell needs a reptile veterinarian",
)
WEAK, STRONG = 0.9, 1.1
# Below this one decimal says nothing. [UVI]
SMALL = 0.5
KINDS = {"dry": "dry, before planting", "final": "final, before the animal", "later": "later, in keeping"}


def meter_text(report: MeterReport, system: System) -> str:
    """Return what a meter round says as a person reads it.

    Parameters
    ----------
    report : MeterReport
        What was found.
    system : str
        ``metric`` or ``us``.

    Returns
    -------
    text : str
        Readings, lamps, verdicts before and after, what to read next, what is still to be tested.
    """
    return "\n".join(_lines(report, system)) + "\n"


def _lines(report: MeterReport, system: System) -> Iterator[str]:
    kind = f" ({KINDS[report.kind]})" if report.kind else ""
    yield f"{report.plan}: meter round {', '.join(report.surveys) or 'without readings'}{kind}"
    if report.too_old:
        old = ", ".join(report.too_old)
        yield from wrapped(f"not used, a newer round was read: {old}", "", "  ")
    yield ""
    yield "READINGS beside what was expected"
    for each in report.calibration.compared:
        yield from _reading(each, report, system)
    yield ""
    yield "WHAT THEY SAY"
    told = sorted(report.calibration.learned, key=_order)
    if not told:
        yield "  nothing that was not known"
    for learned in told:
        yield from wrapped(f"  {learned_words(learned)}", "", "      ")
    for words in report.calibration.tied:
        yield from wrapped(f"  {words}", "", "      ")
    yield ""
    yield "TARGETS before and with the readings"
    for judged in sorted(report.verdicts, key=lambda pair: worst_first(pair.after)):
        yield from _verdict(judged, system)
    yield from _ages(report)
    if report.next_reading:
        yield ""
        yield "READ NEXT"
        for words in report.next_reading:
            yield from wrapped(f"  {words}", "", "      ")
    yield ""
    yield "BEFORE AN ANIMAL MOVES IN (common practice, no source)"
    for point in report.hold_points:
        mark = f"[x] {point.by}, {point.date}" if point.done else "[ ]"
        yield from wrapped(f"  {mark} {point.what}: {point.how}", "", "      ")
    yield ""
    yield "CAUTIONS"
    for words in CAUTIONS:
        yield from wrapped(f"  {words}", "", "    ")


def _order(each: Learned) -> tuple[int, str]:
    return ("lamp", "sheet", "other", "heat").index(each.thing.kind), each.thing.id


def _reading(each: Compared, report: MeterReport, system: System) -> Iterator[str]:
    reading = each.reading
    head = f"  {reading.station}: {NAMES[reading.quantity]} {said_of(reading, reading.value, system)}"
    if each.left_out:
        yield from wrapped(f"{head}; not used: {each.left_out}", "", "      ")
        return
    expected, low, high, now = (
        said_of(reading, value, system) for value in (each.before, each.low, each.high, each.after)
    )
    words = f"{head}; expected {expected} ({low} to {high}), now {now}"
    if each.odd:
        words = f"{words}; CANNOT BE RIGHT: {_others(each, system)}"
    yield from wrapped(words, "", "      ")
    for slip in report.slips.get(each, ()):
        yield from wrapped(f"      {slip.question}", "", "        ")
    if each.odd:
        yield from wrapped(
            f"      it is kept ({reading.where}) and hardly counts; read it again", "", "        "
        )


def _others(each: Compared, system: System) -> str:
    low, said, high = (
        said_of(each.reading, value, system) for value in (each.said_low, each.said, each.said_high)
    )
    return f"plan and other readings say {said} ({low} to {high}), {abs(each.apart):.0f} times its usual error away"


def learned_words(each: Learned) -> str:
    """One thing that readings tell of, as a builder reads it."""
    if each.shift:
        unit = {"K": " K", "m": " cm"}.get(each.unit, "")
        scale = 100.0 if each.unit in ("m", "") else 1.0
        unit = unit or " %"
        value, low, high, was_low, was_high = (
            scale * x for x in (each.expected, each.low, each.high, each.before_low, each.before_high)
        )
        return (
            f"{each.thing.words}: {value:+.1f}{unit} ({low:+.1f} to {high:+.1f}; before {was_low:+.1f} to "
            f"{was_high:+.1f})"
        )
    judged = ""
    if each.thing.kind == "lamp":
        if each.high < 1.0 and each.expected < WEAK:
            judged = ", weaker than expected"
        elif each.low > 1.0 and each.expected > STRONG:
            judged = ", stronger than expected"
    return (
        f"{each.thing.words}: {each.expected:.2f} of what the plan has ({each.low:.2f} to {each.high:.2f}; before "
        f"{each.before_low:.2f} to {each.before_high:.2f}){judged}"
    )


def _verdict(each: Rejudged, system: System) -> Iterator[str]:
    verdict = each.after
    change = (
        SIGNS[verdict.state]
        if each.before.state == verdict.state
        else f"{SIGNS[verdict.state].rstrip()} (was {each.before.state})"
    )
    words = f"  {change}  {verdict.question} ({verdict.animal}): {verdict.sentence}"
    numbers = {n.id.rsplit(".", 1)[1]: n for n in verdict.numbers}
    if "expected" in numbers and "low" in numbers and "high" in numbers:
        shown = [
            _value(numbers[name].value, numbers[name].unit, system) for name in ("expected", "low", "high")
        ]
        words = f"{words}; expected {shown[0]}, could be {shown[1]} to {shown[2]}"
        if each.narrowed is not None and abs(each.narrowed - 1.0) > 0.02:
            words = f"{words}, a range {each.narrowed:.2f} times as wide as before"
    yield from wrapped(words, "", "      ")
    if verdict.adjustment:
        yield from wrapped(f"      can be adjusted into range: {verdict.adjustment}", "", "        ")
    if verdict.advice and verdict.state != "meets":
        yield from wrapped(f"      do: {verdict.advice}", "", "        ")


def _value(value: float, unit: str, system: System) -> str:
    if unit == "m":
        return format_quantity(value, "length", system)
    if unit == "K":
        return format_quantity(value, "temperature", system)
    shown = f"{value:.2f}" if abs(value) < SMALL else f"{value:.1f}"
    return f"{shown} UVI" if unit == "UVI" else shown


def _ages(report: MeterReport) -> Iterator[str]:
    if not report.lamps:
        return
    yield ""
    yield "LAMPS OVER TIME"
    for lamp in report.lamps:
        rounds = ", ".join(
            f"{out:.2f} at {hours:,.0f} h" for hours, out in zip(lamp.hours, lamp.outputs, strict=True)
        )
        spread = 100.0 * 100.0 * float(np.sqrt(lamp.fading.covariance[1, 1])) * 1.645
        known = "its class's rate" if len(lamp.hours) == 1 else f"from {len(lamp.hours)} rounds and its class"
        loses = f"{100 * lamp.per_hundred:.1f} % in 100 h (give or take {spread:.1f}), {known}"
        words = f"  {lamp.fixture}: {rounds} of what the plan has; loses {loses}"
        yield from wrapped(words, "", "      ")
    for due in report.due:
        animal = due.verdict.split(":", 1)[1]
        if due.missed:
            yield from wrapped(
                f"  the UV floor of {animal} is missed already, more likely than not", "", "      "
            )
            continue
        days = [day or "later than lamps last" for day in (due.expected, due.earliest, due.latest)]
        yield from wrapped(
            f"  the UV floor of {animal} will be missed about {days[0]} (between {days[1]} and {days[2]}); read again "
            "before the earlier of these",
            "",
            "      ",
        )
