"""What can be answered to each question, in a keeper's words; animals, boards and finishes are the library's."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Choice:
    """One answer that can be given.

    Attributes
    ----------
    value : str
        What stands in :class:`Answers`.
    label : str
        What a keeper reads.
    """

    value: str
    label: str


@dataclass(frozen=True)
class Question:
    """One question.

    Attributes
    ----------
    field : str
        Of :class:`Answers`.
    label : str
        The question in a keeper's words.
    choices : tuple of Choice
        What can be answered; empty where anything of the right kind can.
    default : str or None
        What stands where nothing is answered; None where an answer is needed.
    example : str
        How an answer without choices is written.
    """

    field: str
    label: str
    choices: tuple[Choice, ...]
    default: str | None
    example: str = ""


def options() -> tuple[Question, ...]:
    """Return the questions in the order they are asked, with what can be answered."""
    raise NotImplementedError
