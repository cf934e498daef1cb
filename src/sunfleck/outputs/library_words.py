"""Library entries as text: a list, one entry with its sources, several side by side."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import exp

from sunfleck.library.browse import Found
from sunfleck.library.fields import rules_of
from sunfleck.library.loader import SECTIONS
from sunfleck.library.values import Sourced
from sunfleck.outputs.verdict_words import WIDTH, wrapped
from sunfleck.units import Kind, System, format_quantity, parse_quantity

# What 90 % of a log-normal lie within, in its standard deviations.
NINETY = 1.645
WIDEST_NAME = 26
PRECISE = {"temperature": 1, "fraction": 0}
# A wire, a drop of fog and a modulus are not of the size that enclosures are measured in: units from that size on.
FITTED: Mapping[Kind, tuple[tuple[float, str], ...]] = {
    "length": ((5e-5, "mm"), (0.0, "um")),
    "stress": ((1e9, "GPa"), (0.0, "MPa")),
    "flow_rate": ((1e-4, "m3/h"), (0.0, "L/h")),
    "time": ((2 * 86400.0, "days"), (7200.0, "h"), (0.0, "min")),
}
# Below this a length is shown in millimetres and three figures. [m]
THIN = 5e-3


def list_text(found: Iterable[Found]) -> str:
    """Return entries as a list: section, id, name."""
    lines = [f"{one.section + '/' + one.id:<46} {one.name}" for one in found]
    return "\n".join(lines) + "\n" if lines else "Nothing found; fewer or other words find more.\n"


def entry_text(found: Found, system: System) -> str:
    """Return one entry: every value with how well it is known, its source and its note."""
    return "\n".join(_entry_lines(found, system)) + "\n"


def compared_text(found: tuple[Found, ...], system: System) -> str:
    """Return entries side by side: a line for each value, values that differ marked."""
    fields = list(dict.fromkeys(field for one in found for field in one.values))
    width = max(14, min(28, (WIDTH - WIDEST_NAME - 4) // len(found)))
    lines = [" " * (WIDEST_NAME + 2) + " ".join(f"{one.id:<{width}.{width}}" for one in found)]
    for field in fields:
        shown = [
            value_text(one.section, field, one.values[field], system) if field in one.values else "-"
            for one in found
        ]
        mark = "*" if len(set(shown)) > 1 else " "
        row = " ".join(f"{text:<{width}.{width}}" for text in shown)
        lines.append(f"{mark} {field_words(field):<{WIDEST_NAME}.{WIDEST_NAME}}{row}".rstrip())
    lines.append("* where they differ; `sunfleck library show ID` has sources and notes")
    return "\n".join(lines) + "\n"


def value_text(section: str, field: str, value: Sourced, system: System) -> str:
    """Return a value in the user's units, with its 90 % range where it has a spread."""
    kind = rules_of(SECTIONS[section])[field].kind
    if isinstance(value.value, bool):
        return "yes" if value.value else "no"
    if isinstance(value.value, str):
        return value.value
    if isinstance(value.value, tuple):
        return " to ".join(_number(part, kind, system) for part in value.value)
    text = _number(value.value, kind, system)
    if value.spread_low or value.spread_high:
        low = value.value * exp(-NINETY * value.spread_low)
        high = value.value * exp(NINETY * value.spread_high)
        text = f"{text} ({_number(low, kind, system)} to {_number(high, kind, system)})"
    return text


def _entry_lines(found: Found, system: System) -> Iterator[str]:
    yield found.name
    yield f"{found.section}/{found.id}"
    for field, value in found.values.items():
        yield ""
        measured = f", {value.measured_with}" if value.measured_with else ""
        yield from wrapped(
            f"{field_words(field)}: {value_text(found.section, field, value, system)}{measured}   [{value.basis}]",
            "  ",
            "    ",
        )
        yield from wrapped(value.source, "      ", "      ")
        if value.note:
            yield from wrapped(f"but: {value.note}", "      ", "      ")
    yield ""
    yield "Ranges hold nine of ten. What is `from memory` or `common practice` was measured by nobody for this program."


def _number(value: float, kind: Kind | None, system: System) -> str:
    if kind is None:
        return f"{value:.4g}"
    if kind == "uv_index":
        return f"{value:.1f} UVI"
    if kind in FITTED and (kind != "length" or 0 < value < THIN):
        word = next(word for least, word in FITTED[kind] if value >= least)
        return f"{value / parse_quantity(f'1 {word}', kind):.3g} {word}"
    digits = PRECISE.get(kind)
    if kind == "fraction" and 0 < abs(value) < 0.1:
        return f"{100 * value:.2g} %"
    if kind in ("length", "angle", "mass"):
        return format_quantity(value, kind, system)
    return format_quantity(value, kind, system, digits=digits)


def field_words(field: str) -> str:
    """Return a field's name as words."""
    return field.replace("_", " ")
