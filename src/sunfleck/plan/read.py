"""From a file to a checked plan, or to every problem it has."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from sunfleck.document.problem import PlanError, Problem
from sunfleck.document.reader import Document, read_document, read_document_bytes
from sunfleck.errors import LibraryError
from sunfleck.library.folders import library_for
from sunfleck.library.loader import Library, load_library
from sunfleck.plan.models import FORMAT, Plan
from sunfleck.plan.rules import broken_rules
from sunfleck.plan.schema_problems import problem_at, problems_from

MAX_BYTES = 512 * 1024


@dataclass(frozen=True, eq=False)
class PlanSource:
    """A plan together with the document it was read from and the library it was checked with.

    Attributes
    ----------
    plan : Plan
        The plan in SI units.
    document : Document
        The file's text with the place of every value.
    library : Library
        The library its ids were looked up in.
    """

    plan: Plan
    document: Document
    library: Library

    def line_of(self, path: tuple[str | int, ...]) -> str:
        """Return ``file:line`` of a value, for a reader who wants to see where it was written."""
        return f"{self.document.file}:{self.document.mark(path).line}"


def read_plan(path: str | Path) -> PlanSource:
    """Read and check a plan file.

    Parameters
    ----------
    path : str or Path
        The plan file, or the folder that holds a `plan.yaml`.

    Returns
    -------
    source : PlanSource
        The checked plan.

    Raises
    ------
    PlanError
        With every problem found, each with its line and a remedy.
    """
    file, content = plan_bytes(path)
    document = read_document_bytes(content, file=str(file))
    return check_document(document, own_library(document, file.parent))


def plan_bytes(path: str | Path) -> tuple[Path, bytes]:
    """Return the file of a plan and what is in it, one byte more than allowed at most.

    Raises
    ------
    PlanError
        If it cannot be read.
    """
    file = Path(path)
    try:
        if file.is_dir():
            file = file / "plan.yaml"
        # One byte more than allowed is enough to know that a file is too long.
        with file.open("rb") as handle:
            content = handle.read(MAX_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise PlanError(
            (
                Problem(
                    rule="file.unreadable",
                    where="the plan file",
                    line=0,
                    column=0,
                    wrote=str(file),
                    needed=f"a plan file that can be read ({reason})",
                    fix="sunfleck new FOLDER writes one to start from",
                    file=str(file),
                ),
            )
        ) from error
    return file, content


def read_plan_text(text: str, file: str = "plan.yaml") -> PlanSource:
    """Read and check a plan from its text; see :func:`read_plan`."""
    return check_document(read_document(text, file=file))


def own_library(document: Document, folder: Path) -> Library:
    """The library with the user's own entries and the plan's; a fault in them is a problem of the plan."""
    try:
        return library_for(folder)
    except LibraryError as error:
        problems = [
            problem_at(document, (), "library.own-entry", fault, fix="sunfleck library check FOLDER")
            for fault in str(error).splitlines()
        ]
        raise PlanError(tuple(problems)) from error


def check_document(document: Document, library: Library | None = None) -> PlanSource:
    """Check a document against the format and the rules.

    Parameters
    ----------
    document : Document
        A document as read.
    library : Library, optional
        What its ids belong to; the bundled library when left out.

    Returns
    -------
    source : PlanSource
        The checked plan.

    Raises
    ------
    PlanError
        With every problem found.
    """
    if not isinstance(document.data, dict):
        raise PlanError(
            (problem_at(document, (), "schema.type", "keys with values, beginning with `format: 1`"),)
        )
    stated = document.data.get("format")
    if isinstance(stated, int) and not isinstance(stated, bool) and stated != FORMAT:
        # Another format's keys would only give misleading problems.
        needed = f"format {FORMAT}, the one this version reads"
        raise PlanError((problem_at(document, ("format",), "plan.format", needed, fix=f"format: {FORMAT}"),))
    try:
        plan = Plan.model_validate(document.data)
    except ValidationError as error:
        raise PlanError(_in_order(problems_from(error, document, Plan))) from error
    library = library if library is not None else load_library()
    problems = broken_rules(plan, document, library)
    if problems:
        raise PlanError(_in_order(problems))
    return PlanSource(plan, document, library)


def _in_order(problems: list[Problem]) -> tuple[Problem, ...]:
    return tuple(sorted(problems, key=lambda problem: (problem.line, problem.column, problem.rule)))
