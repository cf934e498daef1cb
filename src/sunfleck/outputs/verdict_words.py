"""One verdict as lines for a terminal: what is expected, what is wanted, what must not be passed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from textwrap import TextWrapper

from sunfleck.studies.report import Verdict
from sunfleck.studies.trace import Number
from sunfleck.units import System, format_quantity

WIDTH = 96
INDENT = " " * 15
NOT_ACCEPTED = "NOT ACCEPTED: no keeper has put a name to these targets yet"
HARD_SPACE = "\u2007"
NUMBER_AND_UNIT = re.compile(r"(\d) (cm|mm|m|in|ft|%|UVI|h|lux|W|degC|degF|K|min|kWh)\b")
SIGNS = {"meets": "[=] meets  ", "short": "[-] short  ", "over": "[+] over   ", "unknown": "[?] unknown"}
WORST = ("over", "short", "unknown", "meets")
CHANCES = {
    "chance_below": ("below the target", "floor"),
    "chance_above_comfort": ("above the target", "comfort_ceiling"),
    "chance_above": ("above the ceiling", "ceiling"),
    "chance_inside": ("inside", ""),
}


def verdict_lines(verdict: Verdict, system: str, adjustment: str, *, more: bool) -> Iterator[str]:
    """Yield a verdict as a person reads it.

    Parameters
    ----------
    verdict : Verdict
        The verdict.
    system : str
        ``metric`` or ``us``.
    adjustment : str
        Whether its range can be adjusted into what is wanted; "" where that is not asked.
    more : bool
        Whether chances, causes and sources are wanted too.

    Yields
    ------
    line : str
        Indented, broken at the width of a page.
    """
    yield from wrapped(f"  {SIGNS[verdict.state]}  {verdict.question}: {verdict.sentence}", "", INDENT)
    names = {number.id.rsplit(".", 1)[1]: number for number in verdict.numbers}
    lines = [_expected(names, system)]
    if adjustment:
        lines.append(f"can be adjusted into range: {adjustment}")
    lines.append(_wanted(names, system))
    if verdict.place:
        lines.append(f"where: {verdict.place}")
    if verdict.advice:
        lines.append(f"do: {verdict.advice}")
    if more:
        lines += _more(names)
    lines.append(f"[{verdict.id}]")
    for line in lines:
        if line:
            yield from wrapped(line, INDENT, INDENT)


def worst_first(verdict: Verdict) -> int:
    """Rank of a verdict: what is wrong comes before what is not known, and that before what meets."""
    return WORST.index(verdict.state)


def sheet_words(verdict: Verdict, system: str) -> Iterator[str]:
    """Yield a verdict as one paragraph for a sheet."""
    names = {number.id.rsplit(".", 1)[1]: number for number in verdict.numbers}
    parts = [_expected(names, system), _wanted(names, system).replace("   ", "; "), verdict.place]
    told = "; ".join(part for part in parts if part)
    sign = SIGNS[verdict.state].strip()
    yield f"{sign} {verdict.animal}, {verdict.question}: {verdict.sentence}" + (f" ({told})" if told else "")


def range_words(verdict: Verdict, system: str) -> str:
    """A verdict's expected value and what it could be; "" where it has none."""
    names = {number.id.rsplit(".", 1)[1]: number for number in verdict.numbers}
    return _expected(names, system).removeprefix("expected ") if {"low", "high"} <= names.keys() else ""


def wanted_words(verdict: Verdict, system: str) -> str:
    """What is wanted of it, target and ceiling apart, each with how well it is known; "" where nothing is."""
    return _wanted({number.id.rsplit(".", 1)[1]: number for number in verdict.numbers}, system)


def _expected(names: dict[str, Number], system: str) -> str:
    if "expected" not in names:
        return ""
    digits = _digits(names)
    low, middle, high = (_shown(names[name], system, digits) for name in ("low", "expected", "high"))
    return f"expected {middle}, could be {low} to {high}"


def _wanted(names: dict[str, Number], system: str) -> str:
    """Target and ceiling apart from each other, each with how well it is known."""
    digits = _digits(names)
    target = [
        f"{words} {_shown(names[name], system, digits)} ({_basis(names[name])})"
        for name, words in (("floor", "at least"), ("comfort_ceiling", "at most"))
        if name in names
    ]
    if not target and "ceiling" not in names:
        return ""
    ceiling = "none"
    if "ceiling" in names:
        ceiling = f"never above {_shown(names['ceiling'], system, digits)} ({_basis(names['ceiling'])})"
    return f"target: {', '.join(target) or 'none'}   ceiling: {ceiling}"


def _more(names: dict[str, Number]) -> Iterator[str]:
    chances = [
        f"{words} {names[name].value:.0%}"
        for name, (words, limit) in CHANCES.items()
        if name in names and (limit in names or not limit)
    ]
    if chances:
        yield f"of the possible worlds: {', '.join(chances)}"
    causes = [number for name, number in names.items() if name.startswith("due_")]
    if causes:
        shares = ", ".join(f"{number.label} {number.value:.0%}" for number in causes)
        yield f"the range comes from: {shares}"
    for name in ("floor", "comfort_ceiling", "ceiling"):
        if name in names:
            step = names[name].trace()
            yield f"{step.label}: {step.source}"


def _basis(number: Number) -> str:
    """How well a target is known, in a word or two."""
    basis = number.trace().basis
    return "the keeper's or the plan's own" if basis == "given" else basis


def _digits(names: dict[str, Number]) -> int:
    """A digit more than the usual one where the usual would not tell the range from a limit."""
    limits = [names[name].value for name in ("floor", "comfort_ceiling", "ceiling") if name in names]
    range_ = [names[name].value for name in ("low", "expected", "high") if name in names]
    return 2 if any(f"{x:.1f}" == f"{limit:.1f}" and x != limit for x in range_ for limit in limits) else 1


def _shown(number: Number, system: str, digits: int) -> str:
    units: System = "us" if system == "us" else "metric"
    if number.unit == "m":
        return format_quantity(number.value, "length", units)
    if number.unit == "K":
        return format_quantity(number.value, "temperature", units)
    return f"{number.value:.{digits}f}"


def wrapped(text: str, first: str, further: str) -> list[str]:
    """Break a text into lines, the first and the further ones indented as given."""
    # An id is copied in one piece, and a number stands with its unit: lines break at other spaces only.
    wrapper = TextWrapper(
        WIDTH, initial_indent=first, subsequent_indent=further, break_on_hyphens=False, break_long_words=False
    )
    held = NUMBER_AND_UNIT.sub(rf"\1{HARD_SPACE}\2", text)
    return [line.replace(HARD_SPACE, " ") for line in wrapper.wrap(held)]
