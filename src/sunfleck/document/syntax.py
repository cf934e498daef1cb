"""Say in our own words what stopped the YAML parser, and what to write instead."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import yaml


@dataclass(frozen=True, slots=True)
class SyntaxProblem:
    """Where the parser stopped and what was needed there.

    Attributes
    ----------
    line, column : int
        From 1.
    wrote : str
        The line, or the sign, that stopped it.
    needed : str
        What would have been understood.
    fix : str, optional
        The line as it should be.
    """

    line: int
    column: int
    wrote: str
    needed: str
    fix: str | None = None


# Fragments of the parser's messages (the C and the Python one word them alike as far as this) with
# what we say. {begun} becomes the line where the broken group, list or quote begins.
_SENTENCES: tuple[tuple[str, str], ...] = (
    ("',' or ']'", "a comma, or the ] that closes the list begun{begun}"),
    ("',' or '}'", "a comma, or the }} that closes the keys begun{begun}"),
    (
        "mapping values are not allowed",
        "one `key: value` on a line, in line with its neighbours; text that holds a colon stands in quotes",
    ),
    ("could not find expected ':'", "a colon and a space after the key begun{begun}"),
    ("unexpected end of stream", "the quote that closes the text begun{begun}"),
    ("unknown escape character", "a doubled backslash, or the text in 'single quotes'"),
    ("hexadecimal number", "a doubled backslash, or the text in 'single quotes'"),
    ("hexdecimal number", "a doubled backslash, or the text in 'single quotes'"),
    ("document separator", "the quote that closes the text begun{begun}"),
    ("alphabetic or numeric", "text that begins with & or * in quotes"),
    ("sequence entries are not allowed", "an entry that begins with - on a line of its own"),
    ("node content", "a value here"),
    ("document start", "one group of keys that all begin in the same column"),
    ("'-' indicator", "an entry that begins with - below its neighbours (the list begins{begun})"),
    ("expected key", "a key below its neighbours, in the same column (the group begins{begun})"),
    ("block end", "a key or entry below its neighbours (the group begins{begun})"),
    ("tab character", "spaces, not a tab, at the beginning of the line"),
    ("indentation indicator", "`|` or `>` alone, and the text on the lines below"),
    ("comment or a line break", "`|` or `>` alone, and the text on the lines below"),
)
_RESERVED = {
    "\t": "spaces; a tab cannot indent a line",
    "@": "text that begins with @ in quotes",
    "`": "text that begins with ` in quotes",
    "%": "text that begins with % in quotes",
}


def explain(text: str, error: yaml.YAMLError) -> SyntaxProblem:
    """Return where the parser stopped and why, in words a keeper can act on.

    Parameters
    ----------
    text : str
        The document.
    error : yaml.YAMLError
        What the parser raised.

    Returns
    -------
    problem : SyntaxProblem
        Located inside the text, also where the parser only noticed at its end.
    """
    index = stopped_at(error, len(text))
    line, column = line_column(text, index)
    reason = str(getattr(error, "problem", None) or "")
    wrote = _line_at(text, index).strip()[:60] or "the end of the file"
    sign = text[index : index + 1]
    if "cannot start any token" in reason and sign in _RESERVED:
        return SyntaxProblem(line, column, "a tab" if sign == "\t" else wrote, _RESERVED[sign])
    begun = ""
    context = getattr(error, "context_mark", None)
    if context is not None:
        begun = f" in line {line_column(text, min(context.index, len(text)))[0]}"
    for fragment, needed in _SENTENCES:
        if fragment in reason:
            return SyntaxProblem(line, column, wrote, needed.format(begun=begun or " before"))
    return SyntaxProblem(line, column, wrote, "text that reads as YAML 1.2, here and on the line before")


def line_column(text: str, index: int) -> tuple[int, int]:
    r"""Return line and column of a character, both from 1; ``\n``, ``\r\n`` and ``\r`` end a line."""
    before = text[:index]
    if before.endswith("\r") and text[index : index + 1] == "\n":
        # Between the two signs of one line end: still on the line that they end.
        before = before[:-1]
        return line_column(before, len(before))
    line = before.count("\n") + before.count("\r") - before.count("\r\n") + 1
    return line, len(before) - max(before.rfind("\n"), before.rfind("\r"))


def line_of(mark: Any) -> int:
    """Return the line of a parser's mark, from 0."""
    return int(mark.line)


def stopped_at(error: yaml.YAMLError, length: int) -> int:
    """Return the character, from 0, at which the parser stopped, inside a text of that length."""
    for name in ("problem_mark", "context_mark"):
        mark = getattr(error, name, None)
        if mark is not None:
            return min(int(mark.index), length)
    return min(int(getattr(error, "position", 0)), length)


def _line_at(text: str, index: int) -> str:
    start = max(text.rfind("\n", 0, index), text.rfind("\r", 0, index)) + 1
    lines = text[start : start + 200].splitlines()
    return lines[0] if lines else ""
