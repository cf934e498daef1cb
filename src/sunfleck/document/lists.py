"""Take entries out of a list of a document, put some between others, copy one; and change nothing else."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Any

from sunfleck.document.compare import put_at, same_but, value_at
from sunfleck.document.edit import EditError, Text, replaced
from sunfleck.document.entries import Entry, line_end_of, meaning, on_one_line, with_entry
from sunfleck.document.problem import PlanError
from sunfleck.document.reader import Document, Path, read_document


def without_entry(document: Document, path: Path) -> Document:
    r"""Return the document with one entry of a list taken out.

    Parameters
    ----------
    document : Document
        As read.
    path : tuple
        Where the entry stands, the last step its place in the list.

    Returns
    -------
    document : Document
        That differs in that entry only. Comments in the entry and behind it go with it; those on lines of their own
        above it stay. A list that is left empty is written `[]`.

    Raises
    ------
    EditError
        If there is no such entry, or it cannot be taken out without touching something else.

    Examples
    --------
    >>> text = "fans:\n  # two\n  - {name: low}  # old\n  - name: high\n    at: 1 m\n"
    >>> print(without_entry(read_document(text), ("fans", 0)).text)
    fans:
      # two
      - name: high
        at: 1 m
    <BLANKLINE>
    >>> without_entry(read_document("fans: [low, high]  # two"), ("fans", 1)).text
    'fans: [low]  # two'
    """
    entries = _list_of(document, path)
    inner, index = path[:-1], int(path[-1])
    wanted = put_at(document.data, inner, [*entries[:index], *entries[index + 1 :]])
    if len(entries) == 1:
        candidates = emptied(document, inner, "[]")
    elif _in_brackets(document, inner):
        candidates = _out_of_brackets(document, path, len(entries))
    else:
        candidates = _out_of_lines(document, path, len(entries))
    return first_that_reads(
        document, candidates, wanted, f"{_place(path)} cannot be taken out; change it in an editor"
    )


def with_entry_at(document: Document, path: Path, entry: Entry) -> Document:
    r"""Return the document with one more entry in a list, in front of the one that stands at its place now.

    Parameters
    ----------
    document : Document
        As read.
    path : tuple
        Where the new entry is to stand, the last step its place in the list; the list's length for its end.
    entry : str, sequence or mapping
        What to add, on one line.

    Returns
    -------
    document : Document
        That differs in that entry only.

    Raises
    ------
    EditError
        If there is no such place, or nothing can be put there.

    Examples
    --------
    >>> document = read_document("path: [[1 cm, 2 cm], [5 cm, 2 cm]]  # limb")
    >>> with_entry_at(document, ("path", 1), ["3 cm", "4 cm"]).text
    'path: [[1 cm, 2 cm], [3 cm, 4 cm], [5 cm, 2 cm]]  # limb'
    """
    inner, index = path[:-1], path[-1] if path else None
    entries = value_at(document.data, inner) if path and inner in document.marks else None
    if not isinstance(entries, list) or not isinstance(index, int) or not 0 <= index <= len(entries):
        msg = f"{_place(path)} is no place in a list"
        raise EditError(msg)
    if index == len(entries):
        return with_entry(document, inner, entry)
    wanted = put_at(document.data, inner, [*entries[:index], meaning(entry), *entries[index:]])
    candidates = _put_between(document, path, on_one_line(entry))
    return first_that_reads(
        document, candidates, wanted, f"nothing can be put at {_place(path)}; change it in an editor"
    )


def with_copy(document: Document, path: Path, name: str, key: str = "name") -> Document:
    r"""Return the document with an entry of a list a second time, right behind the first and under another name.

    Parameters
    ----------
    document : Document
        As read.
    path : tuple
        Where the entry stands; it has keys with values.
    name : str
        What the copy is called.
    key : str
        Under which its name stands.

    Returns
    -------
    document : Document
        That has the copy and differs in nothing else. The copy is laid out as the entry is; its comments are not copied.

    Raises
    ------
    EditError
        If there is no such entry, it has no name, or it cannot be copied.

    Examples
    --------
    >>> text = "fans:\n  - name: low  # old\n    # by the door\n    at: [1 cm,\n      2 cm]\n  - {name: high}\n"
    >>> print(with_copy(read_document(text), ("fans", 0), "low 2").text)
    fans:
      - name: low  # old
        # by the door
        at: [1 cm,
          2 cm]
      - name: low 2
        at: [1 cm,
          2 cm]
      - {name: high}
    <BLANKLINE>
    """
    entries = _list_of(document, path)
    inner, index = path[:-1], int(path[-1])
    if (*path, key) not in document.styles:
        msg = f"{_place(path)} has no {key}, and cannot be copied under another"
        raise EditError(msg)
    wanted = put_at(document.data, inner, [*entries[: index + 1], *entries[index:]])
    copied = first_that_reads(
        document, _copies(document, path), wanted, f"{_place(path)} cannot be copied; do it in an editor"
    )
    return replaced(copied, (*inner, index + 1, key), Text(name))


def first_that_reads(document: Document, candidates: Iterable[str], wanted: Any, refused: str) -> Document:
    """Return the first of several texts, read, that holds what is wanted; EditError with these words if none does."""
    for text in candidates:
        try:
            after = read_document(text, document.file)
        except PlanError:
            continue
        if same_but(wanted, after.data):
            return replace(after, begins_with=document.begins_with)
    raise EditError(refused)


def emptied(document: Document, path: Path, put: str) -> Iterator[str]:
    """Yield texts with `put` in the place of a whole value: behind its key, or where it begins."""
    text, mark = document.text, document.marks[path]
    end = mark.end
    while end > mark.start and text[end - 1] in "\r\n":
        # A block may end at the start of the line after it, which stays a line.
        end -= 1
    if mark.key_end is not None and mark.key_end < mark.start:
        between = text[mark.key_end : mark.start]
        if between.strip() == ":":
            yield f"{text[: mark.key_end]}: {put}{text[end:]}"
    yield text[: mark.start] + put + text[end:]
    yield f"{text[: mark.start]} {put}{text[end:]}"


def _place(path: Path) -> str:
    return ".".join(map(str, path)) or "the top"


def _list_of(document: Document, path: Path) -> list[Any]:
    """Return the list that an entry stands in."""
    if path and isinstance(path[-1], int) and path in document.marks:
        entries = value_at(document.data, path[:-1])
        if isinstance(entries, list):
            return entries
    msg = f"no entry of a list stands at {_place(path)}"
    raise EditError(msg)


def _in_brackets(document: Document, path: Path) -> bool:
    start = document.marks[path].start
    return document.text[start : start + 1] == "["


def _out_of_brackets(document: Document, path: Path, number: int) -> Iterator[str]:
    text, mark, inner, index = document.text, document.marks[path], path[:-1], int(path[-1])
    if index + 1 < number:
        yield text[: mark.start] + text[document.marks[*inner, index + 1].start :]
    if index:
        yield text[: document.marks[*inner, index - 1].end] + text[mark.end :]


def _out_of_lines(document: Document, path: Path, number: int) -> Iterator[str]:
    text, inner, index = document.text, path[:-1], int(path[-1])
    dash, after = _dash(document, path), _after_the_line(text, document.marks[path].end)
    begin = _begin_of_line(text, dash)
    if text[-1:] not in ("\n", "\r") and after == len(text):
        # The file goes on ending without a line end.
        yield text[: begin - len(line_end_of(text))] if begin else ""
    yield text[:begin] + text[after:]
    if index + 1 < number:
        # A list that begins on the line of another's dash.
        yield text[:dash] + text[_dash(document, (*inner, index + 1)) :]


def _put_between(document: Document, path: Path, line: str) -> Iterator[str]:
    text, inner, index = document.text, path[:-1], int(path[-1])
    if _in_brackets(document, inner):
        if index:
            end = document.marks[*inner, index - 1].end
            yield f"{text[:end]}, {line}{text[end:]}"
        start = document.marks[path].start
        yield f"{text[:start]}{line}, {text[start:]}"
        return
    indent = " " * (document.marks[inner].column - 1)
    if index:
        # Behind the one before: comments above an entry belong to it.
        yield from _line_behind(text, document.marks[*inner, index - 1].end, f"{indent}- {line}")
    dash = _dash(document, path)
    yield f"{text[:dash]}- {line}{line_end_of(text)}{indent}{text[dash:]}"


def _copies(document: Document, path: Path) -> Iterator[str]:
    text, mark, inner = document.text, document.marks[path], path[:-1]
    if _in_brackets(document, inner):
        for copy in (_without_comments(document, path, mark.start, mark.end), text[mark.start : mark.end]):
            yield f"{text[: mark.end]}, {copy}{text[mark.end :]}"
        return
    dash = _dash(document, path)
    indent = " " * (document.marks[inner].column - 1)
    end = mark.end
    while end > mark.start and text[end - 1] in "\r\n":
        end -= 1
    for copy in (_without_comments(document, path, dash, end), text[dash:end]):
        yield from _line_behind(text, mark.end, indent + copy)


def _without_comments(document: Document, path: Path, start: int, end: int) -> str:
    """Return a piece of the text without its comments; `#` within a value begins none."""
    text, taken = document.text, bytearray(end - start)
    for place, mark in document.marks.items():
        if place[: len(path)] == path:
            spans = [(mark.start, mark.end)] if place in document.styles else []
            if mark.key_start is not None and mark.key_end is not None and place != path:
                spans.append((mark.key_start, mark.key_end))
            for first, last in spans:
                begun, done = max(first, start) - start, min(last, end) - start
                taken[begun:done] = b"\1" * max(done - begun, 0)
    kept, at = [], start
    for found in re.finditer(r"(?:(?<=[ \t])|^)#[^\r\n]*", text[start:end], re.MULTILINE):
        if not taken[found.start()] and found.start() + start >= at:
            kept.append(text[at : start + found.start()])
            at = start + found.end()
    kept.append(text[at:end])
    lines = re.split(r"(\r\n|\r|\n)", "".join(kept))
    whole = re.split(r"(\r\n|\r|\n)", text[start:end])
    # A line that held nothing but a comment goes; what else was there keeps its end.
    out = []
    for k in range(0, len(lines), 2):
        if lines[k].strip() or not whole[k].strip():
            bare = lines[k] if lines[k] == whole[k] else lines[k].rstrip()
            out.append(bare + (lines[k + 1] if k + 1 < len(lines) else ""))
    return "".join(out).rstrip("\r\n")


def _dash(document: Document, path: Path) -> int:
    """Return where the dash of an entry stands."""
    text, mark, inner, index = document.text, document.marks[path], path[:-1], int(path[-1])
    first = document.marks[inner]
    if index == 0:
        return first.start
    begin = document.marks[*inner, index - 1].end
    pattern = re.compile(rf"(?<![^\r\n]) {{{first.column - 1}}}-(?=[ \t\r\n]|$)")
    at = -1
    for found in pattern.finditer(text, _begin_of_line(text, begin), min(mark.start + 1, len(text))):
        if found.end() > begin:
            at = found.end() - 1
            break
    if at < 0:
        msg = f"the dash of {_place(path)} is not where it is looked for; change it in an editor"
        raise EditError(msg)
    return at


def _line_behind(text: str, end: int, line: str) -> Iterator[str]:
    """Yield texts with a line behind the one in which an entry ends."""
    after = _after_the_line(text, end)
    line_end = line_end_of(text)
    if after and text[after - 1] in "\r\n":
        yield f"{text[:after]}{line}{line_end}{text[after:]}"
    yield f"{text[:after]}{line_end}{line}{text[after:]}"


def _begin_of_line(text: str, at: int) -> int:
    return max(text.rfind("\n", 0, at), text.rfind("\r", 0, at)) + 1


def _after_the_line(text: str, end: int) -> int:
    """Return where the line after the end of an entry begins; the end may be there already."""
    if text[end - 1 : end] in ("\n", "\r"):
        return end
    found = re.compile(r"\r\n|\r|\n").search(text, end)
    return found.end() if found else len(text)
