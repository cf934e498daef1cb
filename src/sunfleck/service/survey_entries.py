"""Readings as a person enters them: into lines of a survey file, and what is wrong with them."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from sunfleck.document.edit import EditError, scalar_text
from sunfleck.document.entries import append_entries
from sunfleck.document.flow import text_scalar
from sunfleck.document.problem import PlanError, Problem
from sunfleck.document.reader import read_document
from sunfleck.plan.read import MAX_BYTES, PlanSource
from sunfleck.plan.read_survey import SurveySource, check_survey, read_survey_text

FIELDS = (
    "at", "uvi", "lux", "ppfd", "surface", "air", "humidity", "with", "mesh", "lit", "hold", "time", "note",
)  # fmt: skip
INSTRUMENT_FIELDS = (
    "name", "reads", "accuracy", "calibrated", "factor", "offset", "salt", "salt_read", "salt_at", "note",
)  # fmt: skip
LISTS = {"lit", "reads"}
HELD_FIELDS = ("what", "by", "date", "note")
WORDS = {"with", "mesh", "hold", "time", "note", "name", "salt", "calibrated", "what", "by", "date"}
_BARE_NUMBER = re.compile(r"[-+]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)")
_POINT = re.compile(r"\s*\[|\s*[-+]?[0-9.]+[^,;]*[,;]")
# What an entry is read within where its survey cannot be read: only its own form is looked at.
_ALONE = read_survey_text("survey: 1\ndate: 2000-01-01\nkind: dry\nby: nobody\nreadings:\nend: true\n")
_OF_OTHERS = {"survey.instrument", "survey.not-read"}


@dataclass(frozen=True, slots=True)
class Entry:
    """One line as a person entered it.

    Attributes
    ----------
    fields : mapping of str to str
        Keys of a survey's reading (or instrument) with what was typed.
    file : str
        What the person typed into, for messages.
    line : int
        Which line of it, or which entry of several, from 1.
    columns : mapping of str to int
        Where each field stands in its line, from 1; where left out, at its beginning.
    id : str
        Made by who sends it, where it may be sent again because the answer got lost; "" elsewhere.
    """

    fields: Mapping[str, str]
    file: str = "entry"
    line: int = 1
    columns: Mapping[str, int] = field(default_factory=lambda: MappingProxyType({}))
    id: str = ""


def entries_of(readings: Iterable[Mapping[str, str] | Entry]) -> tuple[Entry, ...]:
    """Return readings as entries, numbered from 1 where they say no place of their own; empty fields are left out."""
    made = []
    for number, reading in enumerate(readings, 1):
        entry = reading if isinstance(reading, Entry) else Entry(reading, line=number)
        typed = {str(key).strip(): str(value).strip() for key, value in entry.fields.items()}
        made.append(replace(entry, fields={key: value for key, value in typed.items() if value}))
    return tuple(made)


def entry_line(fields: Mapping[str, str], plan: PlanSource | None = None) -> str:
    """Return an entry as one line of YAML, its values as they were typed.

    Parameters
    ----------
    fields : mapping of str to str
        As typed. A place is a station's name or three lengths with commas between; `lit` is names with commas
        between, or ``none``.
    plan : PlanSource, optional
        Whose stations and fixtures may have names with commas.

    Returns
    -------
    text : str
        Within braces.

    Examples
    --------
    >>> entry_line({"at": "52 cm, 38 cm, 45 cm", "uvi": "3.1", "with": "own meter", "lit": "none"})
    '{at: [52 cm, 38 cm, 45 cm], uvi: 3.1, with: own meter, lit: []}'
    """
    return "{" + ", ".join(f"{text_scalar(k)}: {_value(k, v, plan)}" for k, v in fields.items()) + "}"


def _value(key: str, typed: str, plan: PlanSource | None) -> str:
    if key == "at":
        stations = {station.name for station in plan.plan.stations} if plan is not None else set()
        if typed in stations or not _POINT.match(typed):
            return text_scalar(typed)
        return _list(typed, scalar_text)
    if key in LISTS:
        fixtures = {fixture.name for fixture in plan.plan.fixtures} if plan is not None else set()
        if typed in fixtures:
            return f"[{text_scalar(typed)}]"
        # `none` is what a person says for no lamp at all.
        return "[]" if typed.lower() in {"none", "[]"} else _list(typed, text_scalar)
    if key in WORDS:
        return text_scalar(typed)
    if key == "uvi":
        typed = typed.removesuffix("UVI").rstrip()
    elif key == "lux" and _BARE_NUMBER.fullmatch(typed):
        # The key is the unit's name; nothing is guessed.
        typed = f"{typed} lux"
    return scalar_text(typed)


def _list(typed: str, scalar: Callable[[str], str]) -> str:
    inner = typed.strip().removeprefix("[").removesuffix("]")
    return "[" + ", ".join(scalar(part.strip()) for part in re.split("[,;]", inner)) + "]"


def problems_of(
    entries: Sequence[Entry], survey: SurveySource | None, plan: PlanSource | None, key: str = "readings"
) -> list[Problem]:
    """Return what is wrong with entries, each problem where the person typed it.

    Parameters
    ----------
    entries : sequence of Entry
        New lines of the survey.
    survey : SurveySource, optional
        What they are to stand in; None where it cannot be read, and only their form is looked at.
    plan : PlanSource, optional
        Whose stations and fixtures they name; None where names are not looked up.
    key : str
        ``readings``, ``instruments`` or ``held``.

    Returns
    -------
    problems : list of Problem
        In order of the entries.
    """
    if not entries or (problems := too_large(entries)):
        return problems if entries else []
    lines, problems = [], []
    for entry in entries:
        line = entry_line(entry.fields, plan)
        try:
            read_document(line)
        except PlanError as error:
            problems += [_at(p, entry, None, "the entry") for p in error.problems]
        lines.append(line)
    if problems:
        return problems
    base = survey or _ALONE
    try:
        text = append_entries(base.document, key, lines, "end")
    except EditError:
        # Nothing can be added there; what can be said of the entries by themselves is still said.
        base = _ALONE
        text = append_entries(base.document, key, lines, "end")
    found = list(_problems_in(text, base, plan))
    if not found:
        return []
    # What the survey had before is not the fault of who enters now.
    known = {(p.rule, p.where) for p in _problems_in(base.document.text, base, plan)}
    found = [p for p in found if (p.rule, p.where) not in known]
    if base is _ALONE:
        found = [p for p in found if p.rule not in _OF_OTHERS]
    number = len(getattr(base.survey, key))
    return sorted((_as_typed(p, entries, number, key) for p in found), key=lambda p: (p.line, p.column))


def too_large(entries: Sequence[Entry]) -> list[Problem]:
    """Return a problem if entries hold more text than any survey may."""
    size = sum(len(k) + len(v) for entry in entries for k, v in entry.fields.items())
    if size <= MAX_BYTES:
        return []
    needed = f"at most {MAX_BYTES / 1024:g} KiB at once"
    file = entries[0].file
    return [Problem("yaml.too-large", "the entries", 1, 1, f"{size:,} characters", needed, file=file)]


def _problems_in(text: str, base: SurveySource, plan: PlanSource | None) -> tuple[Problem, ...]:
    try:
        check_survey(read_document(text, base.document.file), base.file, plan)
    except PlanError as error:
        return error.problems
    return ()


def _as_typed(problem: Problem, entries: Sequence[Entry], before: int, key: str) -> Problem:
    """Point at what was typed, not at the line it would have become."""
    found = re.match(key + r"\[(\d+)\](?:\.([a-z_]+)(\[\d+\])?)?", problem.where)
    if found is None or not 0 <= int(found[1]) - before < len(entries):
        return _at(problem, entries[0], None, problem.where)
    entry = entries[int(found[1]) - before]
    name = found[2]
    where = f"{name}{found[3] or ''}" if name else "the entry"
    typed = entry.fields.get(name or "")
    wrote = typed[:60] if typed is not None and not found[3] else problem.wrote
    return replace(_at(problem, entry, name, where), wrote=wrote)


def _at(problem: Problem, entry: Entry, name: str | None, where: str) -> Problem:
    column = entry.columns.get(name or "", 1)
    return replace(problem, file=entry.file, line=entry.line, column=column, where=where)
