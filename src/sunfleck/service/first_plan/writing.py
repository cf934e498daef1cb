"""A draft as the text of a plan file: one line an entry, in the user's units, with comments."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from sunfleck.document.edit import scalar_text
from sunfleck.document.entries import Entry
from sunfleck.service.first_plan.proposal import LeftOpen, Reason
from sunfleck.units import System, format_quantity

# Eighths of an inch are what a tape shows; walls are cut to the millimetre.
EIGHTHS = 8
INCH = 0.0254


@dataclass
class Draft:
    """What a plan is to hold, before it is text.

    Attributes
    ----------
    system : str
        ``metric`` or ``us``.
    head : dict
        Keys before the lists.
    lists : dict of str to list
        Entries by list, in the order of the file.
    notes : dict of str to str
        A comment before a list.
    reasons : list of Reason
        Why.
    left_open : list of LeftOpen
        What found no place.
    """

    system: System
    head: dict[str, Entry] = field(default_factory=dict)
    lists: dict[str, list[Mapping[str, Entry]]] = field(default_factory=dict)
    notes: dict[str, str] = field(default_factory=dict)
    reasons: list[Reason] = field(default_factory=list)
    left_open: list[LeftOpen] = field(default_factory=list)

    def add(self, section: str, entry: Mapping[str, Entry], title: str, reason: str, basis: str) -> None:
        """Add an entry with its reason."""
        self.lists.setdefault(section, []).append(entry)
        self.because(f"{section}/{entry['name']}", title, reason, basis)

    def because(self, path: str, title: str, reason: str, basis: str) -> None:
        """Say why something is as it is."""
        self.reasons.append(Reason(path, title, reason, basis))

    def length(self, metres: float) -> str:
        """As a builder writes it: centimetres to a millimetre, inches to an eighth."""
        if self.system == "metric":
            return format_quantity(metres, "length", "metric", 1)
        eighths = round(metres / INCH * EIGHTHS)
        return inches(eighths)

    def point(self, *metres: float) -> list[str]:
        """Several lengths."""
        return [self.length(x) for x in metres]

    def degrees(self, kelvin: float, digits: int = 0) -> str:
        """A temperature."""
        return format_quantity(kelvin, "temperature", self.system, digits)


def inches(eighths: int) -> str:
    """Eighths of an inch as a tape shows them.

    Examples
    --------
    >>> inches(380), inches(8), inches(3), inches(-12)
    ('47 1/2 in', '1 in', '3/8 in', '-1 1/2 in')
    """
    sign, count = ("-" if eighths < 0 else ""), abs(eighths)
    whole, rest = divmod(count, EIGHTHS)
    if not rest:
        return f"{sign}{whole} in"
    bottom = EIGHTHS
    while rest % 2 == 0:
        rest, bottom = rest // 2, bottom // 2
    return f"{sign}{whole} {rest}/{bottom} in" if whole else f"{sign}{rest}/{bottom} in"


def plan_text(draft: Draft) -> str:
    """Write a draft as a plan file.

    Parameters
    ----------
    draft : Draft
        Complete.

    Returns
    -------
    text : str
        With a comment for whoever opens it.
    """
    lines = [
        "# A first plan, made from a few answers. Lengths are inside sizes from the front left bottom corner:",
        "# x to the right, y to the back, z up. Change what you like; `sunfleck check` says what becomes of it.",
    ]
    for key, value in draft.head.items():
        if key == "enclosure":
            lines += _enclosure(draft, value)
        else:
            if key in draft.notes:
                lines.append(f"# {draft.notes[key]}")
            lines += _keyed(key, value)
    for section, entries in draft.lists.items():
        if section.startswith("enclosure/") or not entries:
            continue
        if section in draft.notes:
            lines.append(f"# {draft.notes[section]}")
        lines.append(f"{section}:")
        lines += [line for entry in entries for line in _entry(entry, "  ", wide=section == "fixtures")]
    return "\n".join(lines) + "\n"


def _keyed(key: str, value: Entry) -> list[str]:
    if isinstance(value, Mapping) and key == "site":
        return [f"{key}:", *(f"  {name}: {_flow(each)}" for name, each in value.items())]
    return [f"{key}: {_flow(value)}"]


def _enclosure(draft: Draft, value: Entry) -> list[str]:
    assert isinstance(value, Mapping)
    lines = ["enclosure:"]
    for key, each in value.items():
        if key == "walls":
            assert isinstance(each, Mapping)
            lines.append("  walls:")
            lines += [f"    {face}: {_flow(wall)}" for face, wall in each.items()]
        else:
            lines.append(f"  {key}: {_flow(each)}")
    for section, entries in draft.lists.items():
        if section.startswith("enclosure/") and entries:
            lines.append(f"  {section.removeprefix('enclosure/')}:")
            lines += [line for entry in entries for line in _entry(entry, "    ", wide=False)]
    return lines


def _entry(entry: Mapping[str, Entry], indent: str, *, wide: bool) -> list[str]:
    if not wide:
        return [f"{indent}- {_flow(entry)}"]
    keys = list(entry)
    lines = [f"{indent}- {keys[0]}: {_flow(entry[keys[0]])}"]
    return lines + [f"{indent}  {key}: {_flow(entry[key])}" for key in keys[1:]]


def _flow(value: Entry) -> str:
    if isinstance(value, str):
        return scalar_text(value)
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key}: {_flow(each)}" for key, each in value.items()) + "}"
    assert isinstance(value, Sequence)
    return "[" + ", ".join(_flow(each) for each in value) + "]"
