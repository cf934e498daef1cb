"""A report and a number's chain as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil, floor

from sunfleck.outputs.round_words import round_lines
from sunfleck.outputs.verdict_words import NOT_ACCEPTED, SIGNS, verdict_lines, wrapped
from sunfleck.studies.metering import HOW
from sunfleck.studies.readings import LampReadings
from sunfleck.studies.report import Exposure, Report, Verdict
from sunfleck.studies.rule import RULE
from sunfleck.studies.trace import Number, Step

PLACE = 40  # letters for where a reading was taken
ORDER = ("over", "unknown", "short", "meets")
CHANNELS = {"uvi": "UV index", "lux": "brightness", "ppfd": "plant light", "radiant": "radiant heat"}
UNITS = {"uvi": "UVI", "lux": "lux", "ppfd": "umol/m2/s", "radiant": "W/m2"}


def report_text(report: Report, system: str, *, more: bool = False) -> str:
    """Return a report as a person reads it.

    Parameters
    ----------
    report : Report
        What was checked.
    system : str
        ``metric`` or ``us``.
    more : bool
        Whether chances, causes and sources of targets are wanted too.

    Returns
    -------
    text : str
        Verdicts first, then what every place gets, what was not checked, cautions.
    """
    return "\n".join(_report_lines(report, system, more=more)) + "\n"


def trace_text(number: Number, surveys: Sequence[str] = (), too_old: Sequence[str] = ()) -> str:
    """Return the chain behind a number as an indented list, headed by the surveys that are in it."""
    step = number.trace()
    lines = [number.id, *round_lines(surveys, too_old), *_step_lines(step, 0)]
    lines.append("")
    made = "multiplies out" if step.closes() else "DOES NOT multiply out"
    lines.append(f"Every product and sum above {made} to one part in 1,000,000,000.")
    return "\n".join(lines) + "\n"


def _report_lines(report: Report, system: str, *, more: bool) -> Iterator[str]:
    yield report.plan
    yield from round_lines(report.surveys, report.too_old)
    yield from wrapped(report.box, "", "")
    yield f"Judged when most lamps are lit together, {report.lit}"
    for animal in dict.fromkeys(verdict.animal for verdict in report.verdicts):
        yield ""
        yield f"TARGETS of {animal}   (a target met is not yet a safe enclosure: see NOT CHECKED)"
        if animal in report.accepted:
            yield f"  {report.accepted[animal] or NOT_ACCEPTED}"
        for verdict in report.verdicts:
            if verdict.animal == animal:
                yield from verdict_lines(verdict, system, _adjustment(report, verdict), more=more)
    yield from _metering_lines(report)
    if report.lamps:
        yield ""
        yield "LAMPS AS PLANNED   what to buy and where to hang it"
        for line in report.lamps:
            yield from _bullet(line)
    yield from _exposures_lines(report)
    yield from _readings_lines(report.readings)
    for title, lines in (
        ("NOT CHECKED, in this plan", report.open_points),
        ("NOT CHECKED, by this program yet", report.not_computed),
        ("CAUTIONS", report.cautions),
        ("BASIS", report.notices),
    ):
        yield ""
        yield title
        for line in lines:
            yield from _bullet(line)
    yield from _rule_lines()
    if not more:
        yield ""
        if any(verdict.state != "meets" for verdict in report.verdicts):
            yield "`sunfleck remedies` tries changes that turn what does not meet."
        yield "`sunfleck check --more` adds chances, what makes each range wide, and where the targets come from."


def _rule_lines() -> Iterator[str]:
    """The rule behind the words, as a table."""
    yield ""
    yield "HOW VERDICTS ARE GIVEN   the first row that applies; shares of possible worlds, or more"
    for state, words in RULE:
        yield f"  {SIGNS[state]}  {words}"


def _adjustment(report: Report, verdict: Verdict) -> str:
    """Whether the lamps over its place can be moved so that the whole range is inside."""
    if not verdict.id.startswith("uv-floor:"):
        return ""
    return next((v.adjustment for v in report.verdicts if v.adjustment and v.animal == verdict.animal), "")


def _metering_lines(report: Report) -> Iterator[str]:
    """Where to hold the meter once the lamps hang, worst first, and which reading settles it."""
    asked = [
        (verdict, names)
        for verdict in report.verdicts
        for names in ({number.id.rsplit(".", 1)[1]: number.value for number in verdict.numbers},)
        if names.keys() & {"reads_least", "reads_most"}
    ]
    if asked:
        yield ""
        yield "MEASURE FIRST   once the lamps hang, before the animal moves in"
        yield f"  {HOW}; a usual meter, 10 % off, is allowed for"
    for verdict, names in sorted(asked, key=lambda each: ORDER.index(each[0].state)):
        wanted = [
            # Rounded to the safe side.
            f"{words} {away(10 * names[name]) / 10:.1f}"
            for name, words, away in (("reads_least", "at least", ceil), ("reads_most", "at most", floor))
            if name in names
        ]
        at = verdict.place.removeprefix("at ")
        yield from _bullet(f"{verdict.question}: {at}; a reading of {' and '.join(wanted)} UVI settles it")


def _readings_lines(readings: tuple[LampReadings, ...]) -> Iterator[str]:
    if readings:
        yield ""
        yield "READINGS YOU HAVE   read, and what the lamp fitted to all of them gives there"
    for lamp in readings:
        unit, digits = UNITS[lamp.channel], 1 if lamp.channel == "uvi" else 0
        yield f"  {lamp.lamp}, {CHANNELS[lamp.channel]}"
        for said in lamp.readings:
            read, fits = (said.number(name).value for name in ("read", "fits"))
            off = said.number("ratio").value - 1.0
            place = said.words
            if len(place) > PLACE:
                yield f"    {place}:"
                place = ""
            yield f"    {place:<{PLACE}} {_rounded(read, digits):>7} {unit}  fits {_rounded(fits, digits):>7}  ({off:+.0%})"
        for line in lamp.questions:
            yield from wrapped(f"ask yourself: {line}", "    ", "      ")
        for line in lamp.untold:
            yield from wrapped(f"cannot tell: {line}", "    ", "      ")


def _exposures_lines(report: Report) -> Iterator[str]:
    for animal in dict.fromkeys(exposure.animal for exposure in report.exposures):
        yield ""
        yield f"WHAT THE BACK OF {animal} GETS   expected (could be) at the brightest point; darkest point"
        for channel, name in CHANNELS.items():
            chosen = [e for e in report.exposures if e.animal == animal and e.channel == channel]
            if chosen:
                yield f"  {name}, {UNITS[channel]}"
                for exposure in chosen:
                    yield _exposure_line(exposure)


def _exposure_line(exposure: Exposure) -> str:
    names = {number.id.rsplit(".", 1)[1]: number.value for number in exposure.numbers}
    digits = 1 if exposure.channel == "uvi" else 0
    low, middle, high = (_rounded(names[name], digits) for name in ("low", "expected", "high"))
    text = f"    {exposure.place:<22} {middle:>7}  ({low} to {high})"
    if "least" in names:
        text = f"{text:<58} darkest {_rounded(names['least'], digits)}"
    return text


def _rounded(value: float, digits: int) -> str:
    if digits or value == 0:
        return f"{value:.{digits}f}"
    # Two significant digits: the lamps are not known better than that.
    size = len(f"{abs(value):.0f}")
    return f"{round(value, 2 - size) if size > 2 else value:,.0f}"


def _bullet(text: str) -> list[str]:
    return wrapped(text, "  - ", "    ")


def _step_lines(step: Step, depth: int) -> Iterator[str]:
    indent = "  " * depth
    unit = f" {step.unit}" if step.unit else ""
    how = {"sum": "  = sum of", "product": "  = product of"}.get(step.how, "")
    yield f"{indent}{step.value:.10g}{unit}  {step.label}{how}"
    if step.source or step.basis or step.where:
        told = "; ".join(part for part in (step.basis, step.source, step.where) if part)
        yield from wrapped(f"[{told}]", indent + "    ", indent + "     ")
    for part in step.parts:
        yield from _step_lines(part, depth + 1)
