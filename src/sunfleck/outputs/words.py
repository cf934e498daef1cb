"""A report and a number's chain as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator
from textwrap import TextWrapper

from sunfleck.studies.report import Exposure, Report, Verdict
from sunfleck.studies.trace import Number, Step
from sunfleck.units import format_quantity

WIDTH = 96
SIGNS = {"meets": "[=] meets  ", "short": "[-] short  ", "over": "[+] over   ", "unknown": "[?] unknown"}
CHANNELS = {"uvi": "UV index", "lux": "brightness", "ppfd": "plant light", "radiant": "radiant heat"}
UNITS = {"uvi": "UVI", "lux": "lux", "ppfd": "umol/m2/s", "radiant": "W/m2"}


def report_text(report: Report, system: str) -> str:
    """Return a report as a person reads it.

    Parameters
    ----------
    report : Report
        What was checked.
    system : str
        ``metric`` or ``us``.

    Returns
    -------
    text : str
        Verdicts first, then what every place gets, what was not checked, cautions.
    """
    return "\n".join(_report_lines(report, system)) + "\n"


def trace_text(number: Number) -> str:
    """Return the chain behind a number as an indented list."""
    step = number.trace()
    lines = [number.id, *_step_lines(step, 0)]
    lines.append("")
    made = "multiplies out" if step.closes() else "DOES NOT multiply out"
    lines.append(f"Every product and sum above {made} to one part in 1,000,000,000.")
    return "\n".join(lines) + "\n"


def _report_lines(report: Report, system: str) -> Iterator[str]:
    yield report.plan
    yield f"Judged when most lamps are lit together, {report.lit}"
    for animal in dict.fromkeys(verdict.animal for verdict in report.verdicts):
        yield ""
        yield f"TARGETS of {animal}   (a target met is not yet a safe enclosure: see NOT CHECKED)"
        if animal in report.accepted:
            yield f"  {report.accepted[animal] or 'NOT ACCEPTED: no keeper has put a name to these targets yet'}"
        for verdict in report.verdicts:
            if verdict.animal == animal:
                yield from _verdict_lines(verdict, system)
    for animal in dict.fromkeys(exposure.animal for exposure in report.exposures):
        yield ""
        yield f"WHAT THE BACK OF {animal} GETS   expected (could be) at the brightest point; darkest point"
        for channel, name in CHANNELS.items():
            chosen = [e for e in report.exposures if e.animal == animal and e.channel == channel]
            if chosen:
                yield f"  {name}, {UNITS[channel]}"
                for exposure in chosen:
                    yield _exposure_line(exposure)
    yield ""
    yield "NOT CHECKED, in this plan"
    for line in report.open_points:
        yield from _bullet(line)
    yield ""
    yield "NOT CHECKED, by this program yet"
    for line in report.not_computed:
        yield from _bullet(line)
    yield ""
    yield "CAUTIONS"
    for line in report.cautions:
        yield from _bullet(line)
    yield ""
    yield "BASIS"
    for line in report.notices:
        yield from _bullet(line)


def _verdict_lines(verdict: Verdict, system: str) -> Iterator[str]:
    yield f"  {SIGNS[verdict.state]}  {verdict.question}: {verdict.sentence}"
    indent = " " * 15
    found = _range_words(verdict, system)
    for line in (
        found + f"  [{verdict.id}]" if found else f"[{verdict.id}]",
        verdict.place,
        f"do: {verdict.advice}" if verdict.advice else "",
    ):
        if line:
            yield from wrapped(line, indent, indent)


def _range_words(verdict: Verdict, system: str) -> str:
    names = {number.id.rsplit(".", 1)[1]: number for number in verdict.numbers}
    parts = []
    if "expected" in names:
        low, middle, high = (_shown(names[name], system) for name in ("low", "expected", "high"))
        parts.append(f"expected {middle}, could be {low} to {high}")
    if "floor" in names:
        parts.append(f"wanted at least {_shown(names['floor'], system)}")
    if "comfort_ceiling" in names and names["comfort_ceiling"].value != names["ceiling"].value:
        parts.append(f"wanted at most {_shown(names['comfort_ceiling'], system)}")
    if "ceiling" in names:
        parts.append(f"never above {_shown(names['ceiling'], system)}")
    return "; ".join(parts)


def _shown(number: Number, system: str) -> str:
    if number.unit == "m":
        return format_quantity(number.value, "length", "us" if system == "us" else "metric")
    return f"{number.value:.1f}"


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


def wrapped(text: str, first: str, further: str) -> list[str]:
    """Break a text into lines, the first and the further ones indented as given."""
    # An id is copied in one piece: lines break at spaces only.
    wrapper = TextWrapper(
        WIDTH, initial_indent=first, subsequent_indent=further, break_on_hyphens=False, break_long_words=False
    )
    return wrapper.wrap(text)
