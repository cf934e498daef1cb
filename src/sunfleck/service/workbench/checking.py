"""A text while it is edited: read and checked as far as that goes, with the problems in the way."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pydantic import ValidationError

from sunfleck.document.problem import PlanError, Problem
from sunfleck.document.reader import Document, read_document
from sunfleck.library.loader import Library
from sunfleck.plan.models import Plan
from sunfleck.plan.read import PlanSource, check_document, own_library


@dataclass(frozen=True)
class Checked:
    """What a text is.

    Attributes
    ----------
    document : Document or None
        None where it cannot be read.
    plan : Plan or None
        None where the format is broken; there also where rules are.
    source : PlanSource or None
        None where there are problems.
    problems : tuple of Problem
        What is in the way.
    """

    document: Document | None
    plan: Plan | None
    source: PlanSource | None
    problems: tuple[Problem, ...]


class Checker:
    """Checks texts of one plan; the library with the user's own entries is read once.

    Parameters
    ----------
    file : str
        Name of the plan's file, for messages.
    folder : Path
        Its folder.
    """

    def __init__(self, file: str, folder: Path) -> None:
        self.file = file
        self._folder = folder
        self._library: Library | None = None

    def forget_library(self) -> None:
        """Read the library anew for the next check."""
        self._library = None

    def check(self, text: str, document: Document | None = None) -> Checked:
        """Check a text, which may have been read already."""
        try:
            document = document if document is not None else read_document(text, self.file)
        except PlanError as error:
            return Checked(None, None, None, error.problems)
        try:
            if self._library is None:
                self._library = own_library(document, self._folder)
            source = check_document(document, self._library)
        except PlanError as error:
            return Checked(document, _plan_of(document), None, error.problems)
        return Checked(document, source.plan, source, ())


def _plan_of(document: Document) -> Plan | None:
    """Return the plan where its format is whole, whatever rules it breaks: it can be drawn."""
    try:
        return Plan.model_validate(document.data)
    except ValidationError:
        return None
