"""Writing into survey files so that nothing entered is lost, whoever else writes at the same time.

An entry is first put down as typed in ``surveys/.entered.jsonl``, to which lines are only ever added. It is then
checked, and goes into the survey's file whole, under a lock. Where that file has been broken by hand meanwhile, it
waits in ``NAME.waiting.jsonl`` beside it, and is taken in by the next command once the file is sound again.

An entry with an id may be sent twice, by a phone that heard no answer: once it is safe the journal says so, and it is
not taken again.
"""

from __future__ import annotations

import datetime
import json
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path

from sunfleck.document.edit import EditError
from sunfleck.document.entries import append_entries
from sunfleck.document.problem import EntryError, PlanError, Problem, nearest
from sunfleck.document.reader import read_document
from sunfleck.errors import SurveyError
from sunfleck.plan.read import PlanSource
from sunfleck.plan.read_survey import SurveySource, check_survey, read_survey
from sunfleck.service.keeping import add_lines, locked, not_written, write_whole
from sunfleck.service.survey_entries import Entry, entries_of, entry_line, problems_of, too_large

JOURNAL = ".entered.jsonl"
WAITING = ".waiting.jsonl"
TRIES = 3
# What waits where a survey's file is broken; an instrument is refused, its owner stands at the keyboard.
WAITS = ("readings", "held")


@dataclass(frozen=True, slots=True)
class Entered:
    """What became of entries.

    Attributes
    ----------
    file : Path
        The survey's file.
    taken : int
        Entries that stand in it now and did not before, earlier waiting ones included.
    waiting : int
        Entries that are kept beside it until it can take them in.
    why : tuple of Problem
        What keeps them waiting.
    already : int
        Entries that were safe before: sent again under the same id.
    first : int or None
        Where the first new one stands among the survey's readings (or instruments, or stops), from 0; None where none
        of those handed over does.
    """

    file: Path
    taken: int
    waiting: int
    why: tuple[Problem, ...] = ()
    already: int = 0
    first: int | None = None


def add_readings(
    survey_path: Path, readings: Iterable[Mapping[str, str] | Entry], plan: PlanSource | None = None
) -> Entered:
    """Enter readings into a survey's file; every other byte of it stays.

    Parameters
    ----------
    survey_path : Path
        The file.
    readings : iterable of mapping or Entry
        Each with keys of a survey's reading and what was typed: ``{"at": "1", "uvi": "2.4", "with": "own meter"}``.
    plan : PlanSource, optional
        Whose stations and fixtures they name; without it names are not looked up.

    Returns
    -------
    entered : Entered
        How many stand in the file, and how many wait beside it because it is broken.

    Raises
    ------
    EntryError
        With everything that is wrong with the entries; none of them is entered.
    SurveyError
        If nothing can be written where the file is.
    """
    file = Path(survey_path)
    return replace(_write(file, entries_of(readings), plan, "readings"), file=file)


def add_instrument(survey_path: Path, fields: Mapping[str, str], plan: PlanSource | None = None) -> Entered:
    """Enter an instrument into a survey's file; see :func:`add_readings`. A broken file is refused with its problems."""
    file = Path(survey_path)
    return replace(_write(file, entries_of([fields]), plan, "instruments"), file=file)


def add_held(
    survey_path: Path,
    fields: Mapping[str, str] | Entry,
    plan: PlanSource | None = None,
    known: Sequence[str] = (),
) -> Entered:
    """Enter a stop that was passed into a survey's file; see :func:`add_readings`.

    Parameters
    ----------
    survey_path : Path
        The file.
    fields : mapping or Entry
        ``what``, ``by`` and perhaps ``note``; ``date`` is today where it is left out.
    plan : PlanSource, optional
        The plan the survey is of.
    known : sequence of str
        What can be passed; anything where left out.

    Returns
    -------
    entered : Entered
        Whether it stands in the file, or waits beside it because it is broken.

    Raises
    ------
    EntryError
        With everything that is wrong with it.
    SurveyError
        If nothing can be written where the file is.
    """
    entry = entries_of([fields])[0]
    today = datetime.date.today().isoformat()  # the keeper's day, not Greenwich's
    entry = replace(entry, fields={"date": today, **entry.fields})
    what = entry.fields.get("what", "")
    if known and what and what not in known:
        near = nearest(what, known)
        needed = f"a stop of this plan: {', '.join(known)}"
        problem = Problem("survey.hold-point", "what", 1, 1, what[:60], needed, near, entry.file)
        raise EntryError([problem])
    file = Path(survey_path)
    return replace(_write(file, (entry,), plan, "held"), file=file)


def take_in(survey_path: Path, plan: PlanSource | None = None) -> Entered:
    """Take in what waits beside a survey's file, if it is sound again; see :func:`add_readings`."""
    file = Path(survey_path)
    if not waiting_file(file).exists():
        return Entered(file, 0, 0)
    return replace(_write(file, (), plan, "readings"), file=file)


def waiting_file(survey_path: Path) -> Path:
    """Return where entries wait that a survey's file cannot take in."""
    return survey_path.with_name(survey_path.stem + WAITING)


def _write(file: Path, entries: tuple[Entry, ...], plan: PlanSource | None, key: str) -> Entered:
    # A link is followed: what stands at its end is written, not a file in the link's place.
    with suppress(OSError, RuntimeError):
        file = file.resolve()
    if not file.parent.is_dir():
        msg = f"there is no folder {file.parent}; `sunfleck survey new` begins a survey"
        raise SurveyError(msg)
    _refuse(too_large(entries))
    if entries:
        _put_down(file, entries, key)
    with locked(file.parent):
        # Looked up under the lock: a phone may ask again while its first request is still being written.
        new = _not_yet_safe(file, entries)
        done = _write_or_keep(file, new, plan, key)
        _note_safe(file, new)
        return replace(done, already=len(entries) - len(new))


def _write_or_keep(file: Path, entries: tuple[Entry, ...], plan: PlanSource | None, key: str) -> Entered:
    for _ in range(TRIES):
        with suppress(_SavedMeanwhileError):
            return _locked_write(file, entries, plan, key)
    busy = _unwritable(file, "it was saved by another program again and again")
    _refuse([busy] if key not in WAITS else [])
    return _keep(file, entries, (busy,))


class _SavedMeanwhileError(Exception):
    """An editor, which knows no lock, saved the file after it was read."""


def _locked_write(file: Path, entries: tuple[Entry, ...], plan: PlanSource | None, key: str) -> Entered:
    try:
        survey = read_survey(file)
    except PlanError as error:
        if key not in WAITS:
            raise EntryError(error.problems) from error
        _refuse(problems_of(entries, None, None, key))
        return _keep(file, entries, error.problems)
    _refuse(problems_of(entries, survey, plan, key))
    return _into(file, survey, entries, plan, key)


def _refuse(problems: list[Problem]) -> None:
    if problems:
        raise EntryError(problems)


def _put_down(file: Path, entries: tuple[Entry, ...], key: str) -> None:
    now = datetime.datetime.now(datetime.UTC).isoformat(timespec="seconds")
    rows = [
        {"survey": file.stem, "to": key, "at": now}
        | ({"id": entry.id} if entry.id else {})
        | {"typed": dict(entry.fields)}
        for entry in entries
    ]
    try:
        add_lines(file.parent / JOURNAL, rows)
    except OSError as error:
        raise not_written(file.parent, error) from error


def _not_yet_safe(file: Path, entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """Return the entries that the journal does not call safe, each id once."""
    if not any(entry.id for entry in entries):
        return entries
    known = _safe_ids(file.parent / JOURNAL)
    new = []
    for entry in entries:
        if not entry.id or entry.id not in known:
            new.append(entry)
        known.add(entry.id)
    return tuple(new)


def _safe_ids(journal: Path) -> set[str]:
    try:
        lines = journal.read_text(encoding="utf-8", errors="replace").splitlines()
    except FileNotFoundError:
        return set()
    except OSError as error:
        raise not_written(journal, error) from error
    found: set[str] = set()
    for line in lines:
        # Put down is not safe: between the two the program may have died.
        if '"safe"' in line:
            with suppress(ValueError, RecursionError):
                row = json.loads(line)
                if isinstance(row, dict) and isinstance(row.get("safe"), list):
                    found |= {each for each in row["safe"] if isinstance(each, str)}
    return found


def _note_safe(file: Path, entries: tuple[Entry, ...]) -> None:
    ids = [entry.id for entry in entries if entry.id]
    if ids:
        # Without this line an entry that is sent again stands there twice, which is asked about; never not at all.
        with suppress(OSError):
            add_lines(file.parent / JOURNAL, [{"survey": file.stem, "safe": ids}])


def _into(
    file: Path, survey: SurveySource, entries: tuple[Entry, ...], plan: PlanSource | None, key: str
) -> Entered:
    """Write waiting entries that fit by now, then the new ones; new instruments before either."""
    was = survey.document
    try:
        first = len(getattr(survey.survey, key))
        if key != "readings":
            survey = _longer(survey, key, entries, plan)
        fit, left, why = _fitting(file, survey, plan)
        held = [entry for entry in fit if _key_of(entry) == "held"]
        read = [entry for entry in fit if _key_of(entry) == "readings"]
        survey = _longer(_longer(survey, "held", held, plan), "readings", read, plan)
        if key == "readings":
            first = len(survey.survey.readings)
            survey = _longer(survey, key, entries, plan)
    except EditError as error:
        here = Problem("survey.no-place", key, 1, 1, "a list as it stands", str(error), file=str(file))
        _refuse([here] if key not in WAITS else [])
        return _keep(file, entries, (here,))
    except PlanError as error:
        # Each by itself fits; all together are more than a survey holds.
        raise EntryError(error.problems) from error
    document = survey.document
    try:
        if fit or entries:
            if file.read_bytes() != (was.begins_with + was.text).encode():
                raise _SavedMeanwhileError
            write_whole(file, (document.begins_with + document.text).encode())
    except OSError as error:
        _refuse([_unwritable(file, error.strerror or str(error))] if key not in WAITS else [])
        # An editor may hold the file, or the disk be full; beside it there may be room.
        return _keep(file, entries, (_unwritable(file, error.strerror or str(error)),))
    _leave(file, left)
    return Entered(file, len(fit) + len(entries), len(left), tuple(why), first=first if entries else None)


def _longer(
    survey: SurveySource, key: str, entries: Sequence[Entry], plan: PlanSource | None
) -> SurveySource:
    """Return the survey with more lines, which have been checked already."""
    if not entries:
        return survey
    lines = [entry_line(entry.fields, plan) for entry in entries]
    text = append_entries(survey.document, key, lines, "end")
    return check_survey(read_document(text, survey.document.file), survey.file)


def _fitting(
    file: Path, survey: SurveySource, plan: PlanSource | None
) -> tuple[list[Entry], list[str], list[Problem]]:
    """Return waiting entries that fit, lines that go on waiting, and what is wrong with those."""
    earlier, left = _waiting(file)
    fit: list[Entry] = []
    why: list[Problem] = []
    for entry in earlier:
        problems = problems_of((entry,), survey, plan, _key_of(entry))
        why += problems
        if problems:
            left.append(json.dumps(dict(entry.fields)))
        else:
            fit.append(entry)
    return fit, left, why


def _key_of(entry: Entry) -> str:
    """Which list a waiting entry belongs to: only a stop says `what`."""
    return "held" if "what" in entry.fields else "readings"


def _unwritable(file: Path, reason: str) -> Problem:
    needed = f"a file that can be written ({reason})"
    return Problem("file.unwritable", "the survey file", 0, 0, str(file), needed, file=str(file))


def _keep(file: Path, entries: tuple[Entry, ...], why: tuple[Problem, ...]) -> Entered:
    """Keep entries beside a file that cannot take them."""
    if entries:
        try:
            add_lines(waiting_file(file), [dict(entry.fields) for entry in entries])
        except OSError as error:
            raise not_written(waiting_file(file), error) from error
    earlier, unread = _waiting(file)
    return Entered(file, 0, len(earlier) + len(unread), why)


def _waiting(file: Path) -> tuple[list[Entry], list[str]]:
    """Return what waits, and lines that are no entries; those stay where they are."""
    beside = waiting_file(file)
    try:
        lines = beside.read_text(encoding="utf-8", errors="surrogateescape").splitlines()
    except FileNotFoundError:
        return [], []
    except OSError as error:
        raise not_written(beside, error) from error
    entries, unread = [], []
    for number, line in enumerate(lines, 1):
        try:
            fields = json.loads(line)
        except (ValueError, RecursionError):
            fields = None
        if isinstance(fields, dict) and fields and all(isinstance(value, str) for value in fields.values()):
            entries += [replace(entry, line=number) for entry in entries_of([Entry(fields, beside.name)])]
        elif line.strip():
            unread.append(line)
    return entries, unread


def _leave(file: Path, lines: list[str]) -> None:
    """Leave only these lines waiting; after the file took the others, so that a crash between loses none."""
    beside = waiting_file(file)
    if not beside.exists():
        return
    try:
        if lines:
            write_whole(beside, "".join(f"{line}\n" for line in lines).encode("utf-8", "surrogateescape"))
        else:
            beside.unlink()
    except OSError as error:
        raise not_written(beside, error) from error
