"""The surveys of a plan: which there are, a new one, and what is entered into them.

`add_readings`, `add_held`, `add_instrument`, `take_in` and `read_csv` stand here too, so that a face needs this module only.
"""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sunfleck.document.flow import flow_text, text_scalar
from sunfleck.document.problem import EntryError, PlanError, Problem, nearest
from sunfleck.errors import SurveyError
from sunfleck.physics.salt_points import salt_correction
from sunfleck.plan.likeness import print_of
from sunfleck.plan.read import PlanSource, read_plan
from sunfleck.plan.read_survey import SurveySource, read_survey, read_survey_text
from sunfleck.plan.rules.names import slug
from sunfleck.plan.surveys import Instrument
from sunfleck.service.keeping import locked, not_written, write_whole
from sunfleck.service.survey_csv import CsvReadings, read_csv
from sunfleck.service.survey_entries import Entry
from sunfleck.service.survey_writing import (
    Entered,
    add_held,
    add_instrument,
    add_readings,
    take_in,
    waiting_file,
)

__all__ = [
    "CsvReadings",
    "Entered",
    "Entry",
    "SurveyFile",
    "add_held",
    "add_instrument",
    "add_readings",
    "find_survey",
    "humidity_correction",
    "new_survey",
    "read_csv",
    "read_surveys",
    "survey_files",
    "surveys_beside",
    "take_in",
]
LONGEST_NAME = 60
_HEAD = """\
# Survey of {plan}. Each reading is one line below `readings:`, as {{at: 1, uvi: 2.4, with: NAME OF THE METER}};
# `sunfleck survey add` writes them too. The last line stays last: a file without it was cut off.
"""


@dataclass(frozen=True, slots=True)
class SurveyFile:
    """A survey's file, whether or not it can be read.

    Attributes
    ----------
    file : Path
        Where it is.
    source : SurveySource, optional
        What was read.
    problems : tuple of Problem
        Why it was not.
    waiting : bool
        Whether entries wait beside it.
    """

    file: Path
    source: SurveySource | None
    problems: tuple[Problem, ...]
    waiting: bool

    @property
    def name(self) -> str:
        """Date and name."""
        return self.file.stem

    @property
    def date(self) -> str:
        """The day it says, or that its name begins with."""
        return self.source.survey.date if self.source is not None else self.name[:10]


def folder_of(plan_path: str | Path) -> Path:
    """Return the folder of a plan's surveys, there or not."""
    path = Path(plan_path)
    # A folder that is not there must not stand for a file in the folder above it.
    is_file = path.is_file() or (path.suffix in {".yaml", ".yml"} and not path.is_dir())
    return (path.parent if is_file else path) / "surveys"


def survey_files(plan_path: str | Path, plan: PlanSource | None = None) -> tuple[SurveyFile, ...]:
    """Read every survey of a plan, those with problems too.

    Parameters
    ----------
    plan_path : str or Path
        The plan file, or its folder.
    plan : PlanSource, optional
        Whose stations and fixtures are looked up.

    Returns
    -------
    files : tuple of SurveyFile
        By date, then by name.
    """
    found = []
    try:
        files = [file for file in folder_of(plan_path).glob("*.yaml") if not file.name.startswith(".")]
    except (OSError, ValueError):
        files = []
    for file in files:
        waiting = waiting_file(file).exists()
        try:
            found.append(SurveyFile(file, read_survey(file, plan), (), waiting))
        except PlanError as error:
            found.append(SurveyFile(file, None, error.problems, waiting))
    return tuple(sorted(found, key=lambda each: (each.date, each.name)))


def read_surveys(
    plan_path: str | Path, plan: PlanSource | None = None, names: Sequence[str] = ()
) -> tuple[SurveySource, ...]:
    """Read the surveys of a plan.

    Parameters
    ----------
    plan_path : str or Path
        The plan file, or its folder.
    plan : PlanSource, optional
        The plan, where it has been read already.
    names : sequence of str, optional
        Only these, with or without their date; all when left out.

    Returns
    -------
    surveys : tuple of SurveySource
        By date, then by name; none where the plan has no folder `surveys`.

    Raises
    ------
    PlanError
        With every problem of the plan, or else of these surveys.
    SurveyError
        If there is none of a name, or several are called so.
    """
    source = plan or read_plan(plan_path)
    wanted = {find_survey(plan_path, name).file for name in names}
    files = [each for each in survey_files(plan_path, source) if not wanted or each.file in wanted]
    problems = [problem for each in files for problem in each.problems]
    if problems:
        raise PlanError(problems)
    return tuple(each.source for each in files if each.source is not None)


def surveys_beside(
    plan_path: str | Path, plan: PlanSource | None = None, names: Sequence[str] = ()
) -> tuple[SurveySource, ...]:
    """Read the surveys of a plan that must have some; see :func:`read_surveys`.

    Raises
    ------
    SurveyError
        If there is none.
    """
    found = read_surveys(plan_path, plan, names)
    if not found:
        msg = f"there is no survey beside {plan_path} yet; `sunfleck survey new` begins one"
        raise SurveyError(msg)
    return found


def find_survey(plan_path: str | Path, name: str | None = None) -> SurveyFile:
    """Return a survey by its name, with or without its date; the newest when left out.

    Raises
    ------
    SurveyError
        If there is none, or several are called so.
    """
    files = survey_files(plan_path)
    if not files:
        msg = f"there is no survey in {folder_of(plan_path)}; `sunfleck survey new` begins one"
        raise SurveyError(msg)
    if name is None:
        return files[-1]
    wanted = name.removesuffix(".yaml")
    fitting = [each for each in files if each.name == wanted] or [
        each for each in files if each.name[11:] == wanted
    ]
    if len(fitting) == 1:
        return fitting[0]
    known = [each.name for each in files]
    if fitting:
        msg = f"several surveys are called {name!r}: {', '.join(each.name for each in fitting)}; give one with its date"
        raise SurveyError(msg)
    near = nearest(wanted, known)
    hint = f"did you mean {near}?" if near else f"there are {', '.join(known[-12:])}"
    msg = f"no survey is called {name!r}; {hint}"
    raise SurveyError(msg)


def new_survey(
    plan_path: str | Path,
    date: str | None,
    name: str | None,
    kind: str,
    by: str,
    **more: str,
) -> Path:
    """Begin a survey: write its file without readings.

    Instruments are those of the plan's newest survey, as written there.

    Parameters
    ----------
    plan_path : str or Path
        The plan file, or its folder.
    date : str, optional
        Year-month-day; today when left out.
    name : str, optional
        Told from others of that day by it; its kind when left out, numbered where that is taken.
    kind : str
        ``dry``, ``final`` or ``later``.
    by : str
        Who reads.
    **more : str
        `room`, `room_humidity`, `warm_up`, `note`, as a person writes them.

    Returns
    -------
    file : Path
        What was written.

    Raises
    ------
    EntryError
        With every problem of what is to be written.
    SurveyError
        If there is such a survey already, or it cannot be written.
    """
    plan = read_plan(plan_path)
    day = date or datetime.date.today().isoformat()  # the keeper's day, not Greenwich's
    folder = folder_of(plan_path)
    given = {"date": day, "kind": kind, "by": by, "box": print_of(plan.plan), **more}
    lines = [f"{key}: {text_scalar(value)}" for key, value in given.items() if value]
    earlier = [each for each in survey_files(plan_path) if each.source is not None]
    instruments = _instruments_of(earlier[-1].source) if earlier else []
    title = "".join(sign if sign.isprintable() else " " for sign in plan.plan.name)
    text = "\n".join(
        [
            _HEAD.format(plan=title) + "survey: 1",
            *lines,
            "instruments:",
            *(f"  - {line}" for line in instruments),
            "readings:",
            "end: true",
            "",
        ]
    )
    short = slug(name or kind)[:LONGEST_NAME]
    try:
        day = read_survey_text(text, "the new survey", plan).survey.date
    except PlanError as error:
        raise EntryError(error.problems) from error
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise not_written(folder, error) from error
    with locked(folder):
        file = folder / f"{day}-{short}.yaml"
        number = 1
        while file.exists():
            number += 1
            if name is not None:
                msg = f"{file} exists already; nothing was written. Give another --name, or add to that one"
                raise SurveyError(msg)
            file = folder / f"{day}-{short}-{number}.yaml"
        try:
            write_whole(file, text.encode())
        except OSError as error:
            raise not_written(file, error) from error
    return file


def _instruments_of(source: SurveySource | None) -> list[str]:
    data: Any = source.document.data.get("instruments") if source is not None else None
    return [flow_text(instrument) for instrument in data or ()]


def humidity_correction(instrument: Instrument) -> float | None:
    """Return what is to be added to a hygrometer's readings by its salt check; None where it had none. [-]"""
    if instrument.salt is None or instrument.salt_at is None or instrument.salt_read is None:
        return None
    return float(salt_correction(instrument.salt, instrument.salt_at, instrument.salt_read))


def corrections_of(source: SurveySource) -> dict[str, float]:
    """Return by hygrometer what its salt check says is to be added to its readings. [-]"""
    found = {each.name: humidity_correction(each) for each in source.survey.instruments}
    return {name: correction for name, correction in found.items() if correction is not None}


def plain(each: SurveyFile, *, readings: bool) -> Mapping[str, Any]:
    """Return a survey as plain data for JSON, values in SI units."""
    told: dict[str, Any] = {"name": each.name, "file": str(each.file), "waiting": each.waiting}
    if each.source is None:
        return told | {"problems": [problem.to_dict() for problem in each.problems]}
    survey = each.source.survey
    whole = survey.model_dump(mode="json", by_alias=True, exclude_none=True, exclude={"survey", "end"})
    for given, instrument in zip(whole["instruments"], survey.instruments, strict=True):
        given["accuracy"] = {"value": instrument.accuracy.value, "kind": instrument.accuracy.kind}
        correction = humidity_correction(instrument)
        if correction is not None:
            given["salt_correction"] = correction
    if not readings:
        whole["readings"] = len(survey.readings)
    return told | whole
