"""Change one value of a document and nothing else."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from contextlib import suppress
from dataclasses import replace
from typing import Any

from sunfleck.document.compare import put_at, same_but, value_at
from sunfleck.document.problem import PlanError
from sunfleck.document.reader import Document, Path, read_document
from sunfleck.document.scalars import resolve
from sunfleck.errors import SunfleckError

# Text that YAML reads back as itself, inside brackets as well.
_SAFE = re.compile(r"(?:-(?=[0-9.]))?[A-Za-z0-9_./+][A-Za-z0-9_./+ %°'-]*")
# Words and bases that a reader of YAML 1.1 turns into something else; in quotes they stay text for both.
_OTHERWISE_READ = re.compile(r"(?:y|n|yes|no|on|off)|[-+]?0[0-7]+|0o[0-7]+|0x[0-9a-f]+", re.IGNORECASE)
_ESCAPED = re.compile("[\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff]")


class EditError(SunfleckError):
    """A change that cannot be made in place."""


class Text(str):
    """Text that stays text even where it looks like a number, true or false: a name."""

    __slots__ = ()


def replace_value(document: Document, path: Path, value: str) -> str:
    """Return the document's text with one scalar replaced.

    Comments, order, spacing and all other characters stay, so that the change is a one-line
    difference. What stood in quotes stays in quotes, and therefore text.

    Parameters
    ----------
    document : Document
        As read.
    path : tuple
        Where the value stands.
    value : str
        The new value as text; it is quoted where YAML needs that.

    Returns
    -------
    text : str
        The whole new text, read again and found to differ in that one value only.

    Raises
    ------
    EditError
        If no single value stands at `path`, it goes over several lines, or the new one cannot
        stand there.

    Examples
    --------
    >>> document = read_document("{travel: 15 cm, lit: true}  # bracket")
    >>> replace_value(document, ("travel",), "6 in")
    '{travel: 6 in, lit: true}  # bracket'
    """
    return written(replaced(document, path, value))


def written(document: Document) -> str:
    """Return what stands in the file of a document, its byte order mark too."""
    return document.begins_with + document.text


def replaced(document: Document, path: Path, value: str) -> Document:
    """Return the document with one scalar replaced, as `replace_value` writes it: it has been read already."""
    new, wanted = _in_place_of(document, path, value)
    mark = document.marks[path]
    text = document.text[: mark.start] + new + document.text[mark.end :]
    return _checked(document, path, text, wanted, _place(path))


def replaced_all(document: Document, values: Mapping[Path, str]) -> Document:
    """Return the document with several scalars replaced, which is read again once.

    Parameters
    ----------
    document : Document
        As read.
    values : mapping of tuple to str
        The new values by their paths; see :func:`replace_value`.

    Returns
    -------
    document : Document
        That differs in those values only.

    Raises
    ------
    EditError
        If one of them cannot be replaced; none is then.

    Examples
    --------
    >>> document = read_document("at: [1 cm, 2 cm]  # clip")
    >>> replaced_all(document, {("at", 0): "3 cm", ("at", 1): "4 cm"}).text
    'at: [3 cm, 4 cm]  # clip'
    """
    if not values:
        return document
    text, data = document.text, document.data
    for path in sorted(values, key=lambda each: document.mark(each).start, reverse=True):
        new, wanted = _in_place_of(document, path, values[path])
        mark = document.marks[path]
        text = text[: mark.start] + new + text[mark.end :]
        data = put_at(data, path, wanted)
    with suppress(PlanError):
        after = read_document(text, document.file)
        if same_but(data, after.data):
            return replace(after, begins_with=document.begins_with)
    # One of them is at fault, and is named.
    for path, value in values.items():
        document = replaced(document, path, value)
    return document


def add_beside(document: Document, path: Path, key: str, value: str) -> str:
    r"""Return the document's text with one more key after a scalar of the same mapping.

    Parameters
    ----------
    document : Document
        As read.
    path : tuple
        Where a single value stands, the last step its key; the new one follows it.
    key, value : str
        What to add; quoted where YAML needs that.

    Returns
    -------
    text : str
        The whole new text, read again and found to differ in that one key only.

    Raises
    ------
    EditError
        If no single value of a mapping stands at `path`, the key is there already, or nothing can be added.

    Examples
    --------
    >>> add_beside(read_document("- {lamp: spot, level: 1}"), (0, "lamp"), "guard", "bars")
    '- {lamp: spot, guard: bars, level: 1}'
    >>> print(add_beside(read_document("- lamp: spot  # clip\n  level: 1"), (0, "lamp"), "guard", "bars"))
    - lamp: spot  # clip
      guard: bars
      level: 1
    """
    place = ".".join(map(str, path)) or "the top"
    mark = document.marks.get(path)
    if path not in document.styles or mark is None or not path or not isinstance(path[-1], str):
        msg = f"no single value stands at {place}"
        raise EditError(msg)
    entry = value_at(document.data, path[:-1])
    if key in entry:
        msg = f"{key} stands beside {place} already"
        raise EditError(msg)
    wanted = {}
    for known, old in entry.items():
        wanted[known] = old
        if known == path[-1]:
            wanted[key] = resolve(value)
    new = f"{scalar_text(key)}: {scalar_text(value)}"
    end_of_line = min(
        (at for at in (document.text.find(sign, mark.end) for sign in "\r\n") if at >= 0),
        default=len(document.text),
    )
    line_end = "\r\n" if document.text[end_of_line : end_of_line + 2] == "\r\n" else "\n"
    # In a block it stands on a line of its own under its neighbour's key; between braces behind a comma.
    on_its_own = f"{line_end}{' ' * ((mark.key_column or 1) - 1)}{new}"
    for at, added in ((end_of_line, on_its_own), (mark.end, f", {new}")):
        text = document.text[:at] + added + document.text[at:]
        try:
            after = read_document(text, document.file)
        except PlanError:
            continue
        if same_but(document.data, after.data, path[:-1]) and same_but(
            value_at(after.data, path[:-1]), wanted
        ):
            return document.begins_with + text
    msg = f"{key} cannot be added beside {place}; change it in an editor"
    raise EditError(msg)


def remove_key(document: Document, path: Path) -> str:
    r"""Return the document's text with one key of a mapping, and what stands under it, taken out.

    Parameters
    ----------
    document : Document
        As read.
    path : tuple
        Where the value stands, the last step its key.

    Returns
    -------
    text : str
        The whole new text, read again and found to differ in that one key only. Comments below the key go with it.

    Raises
    ------
    EditError
        If there is no such key, or it cannot be taken out without touching something else.

    Examples
    --------
    >>> print(remove_key(read_document("- lamp: spot\n  read:\n    - 3\n    - 4\n  level: 1\n"), (0, "read")))
    - lamp: spot
      level: 1
    <BLANKLINE>
    >>> remove_key(read_document("- {lamp: spot, read: [3, 4], level: 1}"), (0, "read"))
    '- {lamp: spot, level: 1}'
    """
    place = ".".join(map(str, path)) or "the top"
    mark = document.marks.get(path)
    if mark is None or mark.key_start is None or not path:
        msg = f"no key stands at {place}"
        raise EditError(msg)
    text = document.text
    begin = text.rfind("\n", 0, mark.key_start) + 1
    # A block ends where its last value does, or at the start of the line after it.
    end = mark.end if text[mark.end - 1 : mark.end] == "\n" else text.find("\n", mark.end) + 1 or len(text)
    comma_before, comma_after = text.rfind(",", 0, mark.key_start), text.find(",", mark.end)
    cuts = [(begin, end)]
    if comma_before >= 0:
        cuts.append((comma_before, mark.end))
    if comma_after >= 0:
        behind = comma_after + 1
        behind += len(text) - behind - len(text[behind:].lstrip(" \t"))
        cuts.append((mark.key_start, behind))
    cuts.append((mark.key_start, mark.end))
    entry = value_at(document.data, path[:-1])
    wanted = {key: value for key, value in entry.items() if key != path[-1]}
    for start, stop in cuts:
        shorter = text[:start] + text[stop:]
        try:
            after = read_document(shorter, document.file)
        except PlanError:
            continue
        if same_but(document.data, after.data, path[:-1]) and same_but(
            value_at(after.data, path[:-1]), wanted
        ):
            return document.begins_with + shorter
    msg = f"{place} cannot be taken out; change it in an editor"
    raise EditError(msg)


def scalar_text(value: str) -> str:
    """Return text as a YAML scalar: plain where that reads back as the same, quoted elsewhere.

    Parameters
    ----------
    value : str
        Any text. What stands for a number, true or false stays plain, and so keeps that meaning; a :class:`Text` is
        quoted then.

    Returns
    -------
    scalar : str
        On one line.

    Examples
    --------
    >>> [scalar_text(word) for word in ("15 cm", "08:00", "no", "12.5", "null")]
    ['15 cm', '"08:00"', '"no"', '12.5', '"null"']
    """
    plain = _SAFE.fullmatch(value) is not None and value == value.strip()
    if isinstance(value, Text) and not isinstance(resolve(value), str):
        plain = False
    if plain and resolve(value) is not None and not _OTHERWISE_READ.fullmatch(value):
        return value
    return _double_quoted(value)


def _double_quoted(value: str) -> str:
    # JSON's escapes are YAML's too; what JSON leaves alone and YAML does not allow is escaped as well.
    quoted = json.dumps(value, ensure_ascii=False)
    return _ESCAPED.sub(lambda found: f"\\u{ord(found[0]):04x}", quoted)


def _place(path: Path) -> str:
    return ".".join(map(str, path)) or "the top"


def _in_place_of(document: Document, path: Path, value: str) -> tuple[str, Any]:
    """Return what is to be written in the place of a scalar, and how it is read."""
    if path not in document.styles:
        msg = f"no single value stands at {_place(path)}"
        raise EditError(msg)
    mark = document.marks[path]
    old = document.text[mark.start : mark.end]
    if "\n" in old or "\r" in old:
        msg = f"the value at {_place(path)} goes over several lines; change it in an editor"
        raise EditError(msg)
    new = _in_the_same_quotes(old, value) if document.styles[path] == "quoted" else scalar_text(value)
    if mark.start == mark.end and document.text[mark.start - 1 : mark.start] not in ("", " ", "\n"):
        # `key:` without a value ends at its colon.
        new = f" {new}"
    return new, str(value) if new.lstrip()[:1] in ("'", '"') else resolve(str(value))


def _in_the_same_quotes(old: str, value: str) -> str:
    if old.startswith("'") and value.isprintable():
        return "'" + value.replace("'", "''") + "'"
    return _double_quoted(value)


def _checked(document: Document, path: Path, text: str, wanted: Any, place: str) -> Document:
    """Read the new text and compare: an edit that moved anything else must not reach the file."""
    refused = f"{str(wanted)[:60]!r} cannot stand at {place}; change it in an editor"
    try:
        after = read_document(text, document.file)
    except PlanError as error:
        raise EditError(refused) from error
    if not same_but(document.data, after.data, path):
        raise EditError(refused)
    if not same_but(value_at(after.data, path), wanted):
        raise EditError(refused)
    return replace(after, begins_with=document.begins_with)
