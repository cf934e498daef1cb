"""The two calls: a first proposal that can be shown at once, and the same after a search."""

from __future__ import annotations

from collections.abc import Callable

from sunfleck.service.first_plan.answers import Answers
from sunfleck.service.first_plan.proposal import FirstPlan

Progress = Callable[[float, str], None]
"""Called with the share of the effort that is spent, 0 to 1, and what is being done in words."""
Stop = Callable[[], bool]
"""Asked between two trials; true ends the search with the best plan so far."""


def first_plan(answers: Answers) -> FirstPlan:
    """Make a whole plan from answers.

    Raises
    ------
    AnswerError
        With every problem of the answers.
    """
    raise NotImplementedError


def refined(first: FirstPlan, progress: Progress | None = None, stop: Stop | None = None) -> FirstPlan:
    """Look for changes of a first plan that turn what does not meet, to a stated effort."""
    raise NotImplementedError
