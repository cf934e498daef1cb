"""A meter round entered at the box: where to read, what was read, what is asked about, and the stops passed."""

from __future__ import annotations

import hashlib
import re
import threading
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sunfleck.document.problem import EntryError, PlanError, Problem
from sunfleck.outputs.phone_words import (
    Seen,
    entry_words,
    problem_words,
    reading_expected,
    round_words,
)
from sunfleck.plan.read import read_plan
from sunfleck.plan.read_survey import SurveySource, read_survey
from sunfleck.plan.surveys import QUANTITIES
from sunfleck.service.round_comparison import Comparison, Known
from sunfleck.service.survey_csv import DECIMAL_COMMA, NUMBER, THOUSANDS
from sunfleck.service.survey_entries import FIELDS, HELD_FIELDS, Entry
from sunfleck.service.survey_slips import slips_in
from sunfleck.service.survey_writing import waiting_file
from sunfleck.service.surveys import Entered, add_held, add_readings, find_survey, take_in
from sunfleck.studies.meter.hold_points import HoldPoint, hold_points

LONGEST_FIELD = 600
"""More is no reading, whatever it is. [characters]"""
_ID = re.compile(r"[A-Za-z0-9-]{8,64}")
_UNITS = {"humidity": "%", "ppfd": "umol/m2/s"}


class PhoneRound:
    """One survey of one plan while it is entered, by several people at once.

    Parameters
    ----------
    plan_path : str or Path
        The plan file, or its folder.
    survey : str, optional
        Which survey; the newest when left out.
    blind : bool
        Whether what is expected stays hidden until it was read.
    compare : bool
        Whether readings are held against the plan; without it only what looks like a slip by itself is asked about.

    Raises
    ------
    PlanError
        With every problem of the plan.
    SurveyError
        If there is no such survey.
    """

    def __init__(
        self, plan_path: str | Path, survey: str | None = None, *, blind: bool = False, compare: bool = True
    ) -> None:
        self.plan = read_plan(plan_path)
        self.file = find_survey(plan_path, survey).file
        self.blind = blind
        # Tells a phone that still holds entries of another round of the one that is served; says nothing of the path.
        self.key = hashlib.sha256(str(self.file.resolve()).encode("utf-8", "replace")).hexdigest()[:16]
        self._reading = threading.Lock()
        self._source: SurveySource | None = None
        self._stamp: tuple[int, int] | None = None
        self._problems: tuple[Problem, ...] = ()
        self.comparison = Comparison(self.plan) if compare else None
        self._seen()

    def close(self) -> None:
        """End what is worked out beside."""
        if self.comparison is not None:
            self.comparison.close()

    def state(self) -> dict[str, Any]:
        """Return the round as plain data in words: stations with their readings, meters, lamps, stops.

        Where the round is blind it holds nothing of what is expected of anything not read yet.
        """
        if waiting_file(self.file).exists():
            take_in(self.file, self.plan)
        source = self._seen()
        known = self._known
        seen = Seen(
            plan=self.plan.plan,
            source=source,
            problems=self._problems,
            waiting=_lines_in(waiting_file(self.file)),
            asked=_asked(source),
            stations=known.stations,
            compared=known.compared,
            calibrated={key: tuple(s.question for s in slips) for key, slips in known.slips.items()},
            stops=self._stops(source, known),
            comparing=self.comparison is not None and self.comparison.busy,
            why_not=known.why_not,
        )
        return round_words(seen, self.file.stem, self.key, blind=self.blind)

    def enter(self, sent: Mapping[str, Any]) -> dict[str, Any]:
        """Enter one reading as a phone sends it.

        Parameters
        ----------
        sent : mapping
            ``id``, and text under keys of a survey's reading; ``degrees`` is ``degC`` or ``degF``.

        Returns
        -------
        told : dict
            ``state``: ``taken``, ``already`` (the same id was taken before), ``waiting`` (kept beside a broken file),
            ``refused``, or ``another round`` (``key`` is of another survey, and nothing was entered); problems and
            questions in words; of a reading that stands in the file what was expected.
        """
        if self._of_another(sent):
            return entry_words("another round")
        try:
            entry = _entry(sent, FIELDS)
            done = add_readings(self.file, [entry], self.plan)
        except EntryError as error:
            return entry_words("refused", [problem_words(each) for each in error.problems])
        source = self._seen()
        if done.first is None or source is None or done.first >= len(source.survey.readings):
            return self._told(done)
        asked = [slip.question for slip in slips_in(source, done.first) if slip.reading == done.first]
        known, system = self._known, self.plan.plan.show_units
        expected = reading_expected(source, done.first, system, known.stations, known.compared)
        return entry_words("taken", [], asked, expected)

    def hold(self, sent: Mapping[str, Any]) -> dict[str, Any]:
        """Enter one stop that was passed: ``id``, ``what``, ``by`` and perhaps ``note``; the date is today's."""
        if self._of_another(sent):
            return entry_words("another round")
        stops = self._stops(None, self._known)
        try:
            entry = _entry(sent, tuple(key for key in HELD_FIELDS if key != "date"))
            done = add_held(self.file, entry, self.plan, tuple(stop.key for stop in stops or ()))
        except EntryError as error:
            return entry_words("refused", [problem_words(each) for each in error.problems])
        return self._told(done)

    def _of_another(self, sent: Mapping[str, Any]) -> bool:
        return bool(sent.get("key", self.key) != self.key)

    def _told(self, done: Entered) -> dict[str, Any]:
        if done.already:
            return entry_words("already")
        if done.first is not None:
            return entry_words("taken")
        return entry_words("waiting", [problem_words(each) for each in done.why])

    @property
    def _known(self) -> Known:
        return self.comparison.known if self.comparison is not None else Known()

    def _stops(self, source: SurveySource | None, known: Known) -> tuple[HoldPoint, ...] | None:
        if known.brief is None:
            return None
        return hold_points(known.brief, [source] if source is not None else [])

    def _seen(self) -> SurveySource | None:
        """Read the survey if it changed; None while it is broken. A change is held against the plan, beside."""
        with self._reading:
            try:
                status = self.file.stat()
                stamp = (status.st_mtime_ns, status.st_size)
            except OSError:
                stamp = None
            if stamp is None or stamp != self._stamp:
                try:
                    self._source, self._problems = read_survey(self.file, self.plan), ()
                except PlanError as error:
                    self._source, self._problems = None, error.problems
                self._stamp = stamp
                if self._source is not None and self.comparison is not None:
                    self.comparison.ask(self._source)
            return self._source


def _asked(source: SurveySource | None) -> dict[int, tuple[str, ...]]:
    """Return what is asked about readings by themselves, by their place in the survey."""
    found: dict[int, tuple[str, ...]] = {}
    for slip in slips_in(source) if source is not None else ():
        if slip.reading is not None:
            found[slip.reading] = (*found.get(slip.reading, ()), slip.question)
    return found


def _entry(sent: Mapping[str, Any], keys: tuple[str, ...]) -> Entry:
    """Return what a phone sent as an entry, its numbers as a survey writes them."""
    problems = []
    fields: dict[str, str] = {}
    id_ = sent.get("id")
    if not isinstance(id_, str) or not _ID.fullmatch(id_):
        problems.append(_problem("id", str(id_)[:60], "8 to 64 letters, digits and hyphens", None))
        id_ = ""
    degrees = sent.get("degrees", "degC")
    if degrees not in ("degC", "degF"):
        problems.append(_problem("degrees", str(degrees)[:60], "degC or degF", None))
        degrees = "degC"
    for key in keys:
        value = sent.get(key, "")
        if not isinstance(value, str) or len(value) > LONGEST_FIELD:
            problems.append(
                _problem(key, str(value)[:60], f"text of at most {LONGEST_FIELD} characters", None)
            )
        elif key in QUANTITIES and value.strip():
            if key in ("lux", "ppfd") and THOUSANDS.fullmatch(value.strip()):
                plain = re.sub("[.,]", "", value.strip())
                needed = "a number that can be read in one way only"
                problems.append(_problem(key, value, needed, plain, "csv.thousands"))
            fields[key] = _number(key, value.strip(), degrees)
        else:
            fields[key] = value
    if problems:
        raise EntryError(problems)
    return Entry(fields, "phone", id=id_)


def _number(key: str, typed: str, degrees: str) -> str:
    if not NUMBER.fullmatch(typed):
        return typed
    unit = degrees if key in ("surface", "air") else _UNITS.get(key, "")
    return f"{DECIMAL_COMMA.sub('.', typed)} {unit}".strip()


def _problem(where: str, wrote: str, needed: str, fix: str | None, rule: str = "entry.word") -> Problem:
    return Problem(rule, where, 1, 1, wrote, needed, fix, "phone")


def _lines_in(file: Path) -> int:
    try:
        return sum(1 for line in file.read_bytes().splitlines() if line.strip())
    except OSError:
        return 0
