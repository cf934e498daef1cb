"""What a remedy is: a change of the plan, and what becomes of every verdict."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import State


@dataclass(frozen=True)
class Change:
    """What becomes of one verdict.

    Attributes
    ----------
    id, question : str
        Which.
    before, after : str
        Its states.
    expected_before, expected_after : float or None
        Its expected values in `unit`; None where it has none.
    unit : str
        Their unit.
    low_after, high_after : float or None
        What it could be then.
    """

    id: str
    question: str
    before: State
    after: State
    expected_before: float | None
    expected_after: float | None
    unit: str
    low_after: float | None = None
    high_after: float | None = None

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "id": self.id,
            "question": self.question,
            "before": self.before,
            "after": self.after,
            "expected_before": self.expected_before,
            "expected_after": self.expected_after,
            "unit": self.unit,
            "low_after": self.low_after,
            "high_after": self.high_after,
        }


@dataclass(frozen=True)
class Remedy:
    """A change of the plan that turns a verdict.

    Attributes
    ----------
    kind : str
        ``setting``, ``timer`` or ``move`` (free), ``bracket`` (a longer one), ``guard`` (another round a lamp), ``swap``
        (another lamp), ``vent`` (one to cut or to cover), ``fan`` (another), ``wall`` (thicker or lined), ``room``
        (kept warmer or cooler); of two changes at once both, joined by " + ".
    words : str
        What to do.
    edits : tuple of str
        The lines of the plan as they are then.
    changes : tuple of Change
        Every verdict whose state or expected value changes, the turned one first.
    text : str
        The whole plan as it is then.
    """

    kind: str
    words: str
    edits: tuple[str, ...]
    changes: tuple[Change, ...]
    text: str

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "kind": self.kind,
            "words": self.words,
            "edits": list(self.edits),
            "changes": [change.to_dict() for change in self.changes],
        }


@dataclass(frozen=True)
class Remedied:
    """A verdict that does not meet, and what was found for it, cheapest first.

    Attributes
    ----------
    verdict : Verdict
        As it is.
    remedies : tuple of Remedy
        Empty where nothing that was tried turns it.
    tried : int
        How many plans were checked for it.
    """

    verdict: Verdict
    remedies: tuple[Remedy, ...]
    tried: int

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "verdict": self.verdict.id,
            "state": self.verdict.state,
            "tried": self.tried,
            "remedies": [remedy.to_dict() for remedy in self.remedies],
        }
