"""Add entries to the end of a list of a document, and change nothing else."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from sunfleck.document.compare import same_but
from sunfleck.document.edit import EditError
from sunfleck.document.problem import PlanError
from sunfleck.document.reader import Document, read_document


def append_entries(document: Document, key: str, entries: Sequence[str], before: str) -> str:
    r"""Return the document's text with more entries in one of its lists.

    Every other character stays. An empty pair of brackets gives way to lines of their own.

    Parameters
    ----------
    document : Document
        As read; its data are keys with values.
    key : str
        The list's key at the top; nothing, `[]` or no such key stands for an empty list.
    entries : sequence of str
        Each on one line, as :func:`~sunfleck.document.flow.flow_text` gives it.
    before : str
        Key at the top above which a list that is not there yet is put.

    Returns
    -------
    text : str
        The whole new text, read again and found to differ by the new entries only.

    Raises
    ------
    EditError
        If the list is written in a way to which nothing can be added in place.

    Examples
    --------
    >>> document = read_document("read:\n  - {at: 1}  # limb\n  # ground next\nend: true\n")
    >>> print(append_entries(document, "read", ["{at: 2}"], "end"))
    read:
      - {at: 1}  # limb
      - {at: 2}
      # ground next
    end: true
    <BLANKLINE>
    """
    if not isinstance(document.data, dict) or not isinstance(document.data.get(key) or [], list):
        msg = f"{key} is no list; change it in an editor"
        raise EditError(msg)
    if not entries:
        return document.begins_with + document.text
    known = document.data.get(key) or []
    for text in _tries(document, key, entries, before):
        try:
            after = read_document(text, document.file)
            added = _entries_of(entries)
        except PlanError:
            continue
        if _grown(document.data, after.data, key, [*known, *added]):
            return document.begins_with + text
    msg = f"nothing can be added to {key} in place; write its entries one a line, each after `- `"
    raise EditError(msg)


def _tries(document: Document, key: str, entries: Sequence[str], before: str) -> Iterator[str]:
    text, known = document.text, document.data.get(key)
    line_end = "\r\n" if "\r\n" in text else "\n"
    if key not in document.data:
        mark = document.marks.get((before,))
        if mark is not None and mark.key_start is not None:
            at = text.rfind("\n", 0, mark.key_start) + 1
            yield text[:at] + f"{key}:{line_end}" + _lines(entries, "  ", line_end) + text[at:]
        return
    mark = document.marks[(key,)]
    if known:
        # As lines of their own, in the column of the dashes.
        at = mark.end if text[mark.end - 1] == "\n" else _line_after(text, mark.end)
        yield _put(text, at, _lines(entries, " " * (mark.column - 1), line_end), line_end)
        # Within brackets: after the last one, before a comma that may end the list.
        at = document.marks[(key, len(known) - 1)].end
        yield text[:at] + ", " + ", ".join(entries) + text[at:]
        return
    indent = " " * ((mark.key_column or 1) + 1)
    shorter = text[: mark.start] + text[mark.end :]
    gone = len(text) - len(shorter)
    at = _line_after(shorter, mark.end - gone)
    yield _put(shorter, at, _lines(entries, indent, line_end), line_end)


def _lines(entries: Sequence[str], indent: str, line_end: str) -> str:
    return "".join(f"{indent}- {entry}{line_end}" for entry in entries)


def _line_after(text: str, index: int) -> int:
    return text.find("\n", index) + 1 or len(text)


def _put(text: str, at: int, lines: str, line_end: str) -> str:
    begun = text[:at]
    return begun + ("" if not begun or begun.endswith("\n") else line_end) + lines + text[at:]


def _entries_of(entries: Sequence[str]) -> list[Any]:
    return [read_document(entry).data for entry in entries]


def _grown(before: dict[str, Any], after: Any, key: str, wanted: list[Any]) -> bool:
    """Return whether the data differ in that list only, and it holds what it should."""
    if not isinstance(after, dict) or not same_but(after.get(key), wanted):
        return False
    others = {known: value for known, value in before.items() if known != key}
    return same_but(others, {known: value for known, value in after.items() if known != key})
