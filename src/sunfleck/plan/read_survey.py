"""From a survey's file to a checked survey, or to every problem it has."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from sunfleck.document.problem import PlanError, Problem
from sunfleck.document.reader import Document, read_document, read_document_bytes
from sunfleck.plan.models import Plan
from sunfleck.plan.read import MAX_BYTES, PlanSource
from sunfleck.plan.schema_problems import problem_at, problems_from
from sunfleck.plan.stations import Hold
from sunfleck.plan.survey_rules import broken_survey_rules, unknown_in_plan
from sunfleck.plan.surveys import FORMAT, Reading, Survey

LAST_LINE = "end: true"


@dataclass(frozen=True, eq=False)
class SurveySource:
    """A survey together with the document it was read from.

    Attributes
    ----------
    survey : Survey
        In SI units.
    document : Document
        The file's text with the place of every value.
    file : Path
        Where it was read.
    """

    survey: Survey
    document: Document
    file: Path

    @property
    def name(self) -> str:
        """The file's name without its ending: date and name."""
        return self.file.stem

    def line_of(self, path: tuple[str | int, ...]) -> str:
        """Return ``file:line`` of a value, for a reader who wants to see where it was written."""
        return f"{self.document.file}:{self.document.mark(path).line}"

    def lit(self, reading: Reading, plan: Plan) -> tuple[str, ...]:
        """Return the fixtures that burned when it was read, by name."""
        if reading.lit is not None:
            return reading.lit
        return self.survey.lit if self.survey.lit is not None else tuple(f.name for f in plan.fixtures)


def place_of(reading: Reading, plan: Plan) -> tuple[tuple[float, float, float], Hold]:
    """Return where a reading was taken, and how the meter was held. [m]

    Parameters
    ----------
    reading : Reading
        Of a survey that was checked against the plan.
    plan : Plan
        Whose stations it may name.

    Returns
    -------
    point : (3,) float
        From the inside front left bottom corner. [m]
    hold : str
        Its own, else the station's, else ``up``.
    """
    if not isinstance(reading.at, str):
        return reading.at, reading.hold or "up"
    station = next(each for each in plan.stations if each.name == reading.at)
    return station.at, reading.hold or station.hold


def read_survey(path: str | Path, plan: PlanSource | None = None) -> SurveySource:
    """Read and check a survey file.

    Parameters
    ----------
    path : str or Path
        The file.
    plan : PlanSource, optional
        The plan whose stations and fixtures the survey names; without it names are not looked up.

    Returns
    -------
    source : SurveySource
        The checked survey.

    Raises
    ------
    PlanError
        With every problem found; a file that was cut off is refused whole.
    """
    file = Path(path)
    try:
        # One byte more than allowed is enough to know that a file is too long.
        with file.open("rb") as handle:
            content = handle.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        needed = f"a survey file that can be read ({reason})"
        fix = "sunfleck survey list PLAN tells which there are"
        unread = Problem("file.unreadable", "the survey file", 0, 0, str(file), needed, fix, str(file))
        raise PlanError((unread,)) from error
    return read_survey_bytes(content, file, plan)


def read_survey_bytes(content: bytes, file: Path, plan: PlanSource | None = None) -> SurveySource:
    """Read and check a survey from the bytes of its file; see :func:`read_survey`."""
    try:
        document = read_document_bytes(content, str(file))
    except PlanError as error:
        # What stops the parser is most often the cut itself.
        text = content.decode("utf-8", "replace")
        whole = any(line.split("#")[0].strip() == LAST_LINE for line in text.splitlines()[-20:])
        cut = [] if whole else [_cut_off(str(file), text.count("\n") + 1, 1, _last_line(text))]
        raise PlanError([*map(_of_a_survey, error.problems), *cut]) from error
    return check_survey(document, file, plan)


def read_survey_text(
    text: str, file: str | Path = "survey.yaml", plan: PlanSource | None = None
) -> SurveySource:
    """Read and check a survey from its text; see :func:`read_survey`."""
    try:
        document = read_document(text, str(file))
    except PlanError:
        return read_survey_bytes(text.encode("utf-8", "surrogatepass"), Path(file), plan)
    return check_survey(document, Path(file), plan)


def check_survey(document: Document, file: Path, plan: PlanSource | None = None) -> SurveySource:
    """Check a document against the survey's format and rules, and against a plan; see :func:`read_survey`."""
    data = document.data
    problems = [] if _ends(data) else [_not_ended(document)]
    if not isinstance(data, dict):
        needed = "keys with values, beginning with `survey: 1`"
        problems.append(problem_at(document, (), "schema.type", needed))
        raise PlanError(map(_of_a_survey, problems))
    stated = data.get("survey")
    if "survey" in data and (isinstance(stated, (bool, float)) or stated != FORMAT):
        # Another format's keys would only give misleading problems.
        needed = f"format {FORMAT}, the one this version reads"
        problem = problem_at(document, ("survey",), "survey.format", needed, fix=f"survey: {FORMAT}")
        # Who cut the file within its first line is told so; another format may end in its own way.
        raise PlanError([problem, *(problems if stated is None else [])])
    try:
        survey = Survey.model_validate({**data, "end": True})
    except ValidationError as error:
        found = problems_from(error, document, Survey)
        raise PlanError(map(_of_a_survey, [*problems, *found])) from error
    problems += broken_survey_rules(survey, document)
    if plan is not None:
        problems += unknown_in_plan(survey, document, plan)
    if problems:
        raise PlanError(map(_of_a_survey, problems))
    return SurveySource(survey, document, file)


def _ends(data: Any) -> bool:
    # As the last key: of what stands below it a cut could take something unseen.
    return isinstance(data, dict) and bool(data) and next(reversed(data)) == "end" and data["end"] is True


def _not_ended(document: Document) -> Problem:
    data = document.data
    if isinstance(data, dict) and data.get("end") is True:
        below = list(data)[list(data).index("end") + 1]
        needed = "`end: true` as the last line: what stands below it could be cut off unseen"
        fix = f"move `{below}` above the line  {LAST_LINE}"
        return problem_at(document, ("end",), "survey.cut-off", needed, wrote=f"`{below}` below it", fix=fix)
    mark = document.mark(("end",)) if isinstance(data, dict) and "end" in data else None
    last = _last_line(document.text)
    line = mark.line if mark else document.text.rstrip().count("\n") + 1
    return _cut_off(document.file, line, mark.column if mark else 1, last)


def _cut_off(file: str, line: int, column: int, wrote: str) -> Problem:
    needed = f"`{LAST_LINE}` as the last line; a file without it was cut off when it was saved or copied"
    fix = f"look whether the last readings are there, then write as the last line  {LAST_LINE}"
    return Problem("survey.cut-off", "the end of the file", line, column, wrote, needed, fix, file)


def _last_line(text: str) -> str:
    lines = text.rstrip().splitlines()
    return lines[-1].split(" #")[0].strip()[:60] if lines else "nothing"


def _of_a_survey(problem: Problem) -> Problem:
    return replace(problem, where="the survey") if problem.where == "the plan" else problem
