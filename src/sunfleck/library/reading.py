"""One library file: from YAML text to an entry, or to a list of everything that is wrong with it."""

from __future__ import annotations

import math
from collections.abc import Iterable
from difflib import get_close_matches
from pathlib import Path
from typing import Any, TypeVar

import yaml

from sunfleck.errors import LibraryError, UnitError
from sunfleck.library.consistency import contradictions
from sunfleck.library.entries import Entry
from sunfleck.library.fields import FieldRule, optional_fields, rules_of
from sunfleck.library.values import BASES, MEASURED_WITH, Sourced

LARGEST_FILE = 64 * 1024
DEEPEST = 4
VALUE_KEYS = ("value", "source", "basis", "spread", "note", "measured_with")
# The largest ln-sd that still means something: a factor of seven either way at 95 %.
WIDEST_SPREAD = 2.0

EntryType = TypeVar("EntryType", bound=Entry)
_SafeLoader: type[Any] = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


class _Loader(_SafeLoader):  # type: ignore[misc]  # the C loader where PyYAML was built with it
    """The safe loader, except that a key that stands twice is a fault and not the second value."""

    def construct_mapping(self, node: yaml.MappingNode, deep: bool = False) -> dict[Any, Any]:
        """Build a mapping whose keys are all different."""
        seen: set[str] = set()
        for key, _ in node.value:
            if key.value in seen:
                problem = f"the key {key.value!r} stands twice"
                raise yaml.constructor.ConstructorError(None, None, problem, key.start_mark)
            seen.add(str(key.value))
        built: dict[Any, Any] = super().construct_mapping(node, deep)
        return built


def read_entry(kind: type[EntryType], section: str, id_: str, path: Path) -> EntryType:
    """Read a library file.

    Parameters
    ----------
    kind : type
        Dataclass of the entry.
    section : str
        Section it belongs to.
    id_ : str
        Its id.
    path : Path
        The file.

    Returns
    -------
    entry : dataclass
        With every value in SI units.

    Raises
    ------
    LibraryError
        Naming the file and every fault in it.
    """
    place = f"{section}/{path.name}"
    data = _load(place, path)
    faults: list[str] = []
    values = _read_fields(kind, f"{section}/{id_}", data, faults)
    entry = None
    if not faults:
        entry = kind(**values)
        faults = [f"{place}: {fault}" for fault in contradictions(entry)]
    else:
        faults = [f"{place}: {fault}" for fault in faults]
    if entry is None or faults:
        raise LibraryError("\n".join(faults))
    return entry


def _load(place: str, path: Path) -> dict[str, Any]:
    try:
        raw = path.read_bytes()
    except OSError as error:
        msg = f"{place}: cannot be read ({error.strerror})"
        raise LibraryError(msg) from error
    if len(raw) > LARGEST_FILE:
        msg = f"{place}: {len(raw)} bytes; a library file has at most {LARGEST_FILE}"
        raise LibraryError(msg)
    try:
        text = raw.decode("utf-8")
        _guard(place, text)
        data = yaml.load(text, Loader=_Loader)  # derived from the safe loader
    except UnicodeDecodeError as error:
        msg = f"{place}: byte {error.start} is not UTF-8 text"
        raise LibraryError(msg) from error
    except yaml.YAMLError as error:
        msg = f"{place}: not readable as YAML: {' '.join(str(error).split())}"
        raise LibraryError(msg) from error
    if not isinstance(data, dict):
        msg = f"{place}: needs keys with values"
        raise LibraryError(msg)
    return data


def _guard(place: str, text: str) -> None:
    """Refuse aliases and deep nesting before anything is built from the text."""
    depth = 0
    for event in yaml.parse(text, Loader=_Loader):
        if isinstance(event, yaml.AliasEvent):
            msg = f"{place}: {_line(event)}: aliases are not used in the library"
            raise LibraryError(msg)
        if isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
            depth += 1
        elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
            depth -= 1
        if depth > DEEPEST:
            msg = f"{place}: {_line(event)}: nested more than {DEEPEST} deep"
            raise LibraryError(msg)


def _line(event: yaml.Event) -> str:
    return "a line" if event.start_mark is None else f"line {event.start_mark.line + 1}"


def _read_fields(kind: type, entry_key: str, data: dict[str, Any], faults: list[str]) -> dict[str, Sourced]:
    known = rules_of(kind)
    optional = optional_fields(kind)
    faults += [f"{key}: unknown key{_nearest(key, known)}" for key in data if key not in known]
    values: dict[str, Sourced] = {}
    for name, rule in known.items():
        if name not in data:
            if name not in optional:
                faults.append(f"{name}: is missing")
            continue
        own_faults: list[str] = []
        value = read_value(rule, data[name], f"library {entry_key}: {name}", own_faults)
        faults += [f"{name}: {fault}" for fault in own_faults]
        if value is not None:
            values[name] = value
    return values


def read_value(rule: FieldRule, written: object, where: str, faults: list[str]) -> Sourced | None:
    """Read one value with its credentials.

    Parameters
    ----------
    rule : FieldRule
        What the field holds.
    written : object
        What the file says under its key.
    where : str
        Place of the value, kept with it.
    faults : list of str
        Whatever is wrong is added here.

    Returns
    -------
    value : Sourced or None
        None when there are faults.
    """
    before = len(faults)
    if not isinstance(written, dict):
        faults.append("needs `value`, `source` and `basis`")
        return None
    faults += [f"{key}: unknown key{_nearest(key, VALUE_KEYS)}" for key in written if key not in VALUE_KEYS]
    words = {key: _words(written, key, faults) for key in ("source", "basis", "note", "measured_with")}
    faults += [f"has no {key}" for key in ("source", "basis") if not words[key] and key not in written]
    if words["basis"] and words["basis"] not in BASES:
        faults.append(f"basis {words['basis']!r} is not one of {', '.join(BASES)}")
    instrument = words["measured_with"]
    if rule.measured and instrument not in MEASURED_WITH:
        faults.append(f"measured_with {instrument!r} is not one of {', '.join(MEASURED_WITH)}")
    elif instrument and not rule.measured:
        faults.append("measured_with: only temperatures of an animal's place have it")
    spread_low, spread_high = _read_spread(rule, written, faults)
    value = None
    if "value" not in written:
        faults.append("has no value")
    else:
        try:
            value = rule.read(written["value"])
        except UnitError as error:
            faults.append(str(error))
    if value is None or len(faults) > before:
        return None
    return Sourced(
        value=value,
        unit=rule.unit,
        source=words["source"],
        basis=words["basis"],
        spread_low=spread_low,
        spread_high=spread_high,
        note=words["note"],
        measured_with=instrument,
        where=where,
    )


def _words(written: dict[str, Any], key: str, faults: list[str]) -> str:
    if key not in written:
        return ""
    words = written[key]
    if not isinstance(words, str) or not words.strip():
        faults.append(f"{key} {words!r} is not a text")
        return ""
    return " ".join(words.split())


def _read_spread(rule: FieldRule, written: dict[str, Any], faults: list[str]) -> tuple[float, float]:
    if "spread" not in written:
        if rule.spread:
            faults.append("has no spread")
        return 0.0, 0.0
    spread = written["spread"]
    if not isinstance(spread, dict) or set(spread) != {"low", "high"}:
        faults.append("spread needs `low` and `high`, standard deviations of the logarithm")
        return 0.0, 0.0
    sides = []
    for side in ("low", "high"):
        part = spread[side]
        if isinstance(part, bool) or not isinstance(part, (int, float)) or not math.isfinite(part):
            faults.append(f"spread {side} {part!r} is not a finite number")
        elif not 0 <= part <= WIDEST_SPREAD:
            faults.append(f"spread {side} {part:g} is not from 0 to {WIDEST_SPREAD:g}")
        else:
            sides.append(float(part))
    return (sides[0], sides[1]) if len(sides) == 2 else (0.0, 0.0)


def _nearest(key: object, known: Iterable[str]) -> str:
    near = get_close_matches(str(key), list(known), n=1)
    return f"; did you mean {near[0]}?" if near else ""
