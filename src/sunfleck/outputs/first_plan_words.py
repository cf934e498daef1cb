"""A first plan in words: what it is, why things are where they are, and what it leaves open."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from textwrap import fill
from typing import Protocol

WIDTH = 100


class ReasonLike(Protocol):
    """Why one thing is as it is."""

    @property
    def title(self) -> str:
        """What it is about."""

    @property
    def reason(self) -> str:
        """Why."""

    @property
    def basis(self) -> str:
        """What that rests on."""


class OpenLike(Protocol):
    """What is left open."""

    @property
    def title(self) -> str:
        """What."""

    @property
    def reason(self) -> str:
        """Why."""


def first_plan_text(
    reasons: Sequence[ReasonLike], left_open: Sequence[OpenLike], states: Sequence[str]
) -> str:
    """Return a first plan's reasons as text.

    Parameters
    ----------
    reasons : sequence
        With title, reason and basis.
    left_open : sequence
        With title and reason.
    states : sequence of str
        Of its verdicts.

    Returns
    -------
    text : str
        For a terminal.
    """
    counted = Counter(states)
    told = ", ".join(
        f"{counted[state]} {state}" for state in ("meets", "unknown", "short", "over") if counted[state]
    )
    lines = [f"Verdicts: {told or 'none'}", "", "WHY IT IS SO"]
    seen = set()
    for each in reasons:
        # Two tubes hang for one reason.
        if each.reason not in seen:
            seen.add(each.reason)
            lines.append(_item(f"{each.title}: {each.reason} ({each.basis})"))
    if left_open:
        lines += ["", "LEFT OPEN"]
        lines += [_item(f"{each.title}: {each.reason}") for each in left_open]
    return "\n".join(lines) + "\n"


def _item(words: str) -> str:
    return fill(
        words,
        WIDTH,
        initial_indent="  - ",
        subsequent_indent="    ",
        break_long_words=False,
        break_on_hyphens=False,
    )
