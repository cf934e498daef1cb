"""Add a whole entry to a list of a document, and change nothing else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from copy import copy
from dataclasses import replace
from typing import Any

from sunfleck.document.compare import same_but, value_at
from sunfleck.document.edit import EditError, scalar_text, written
from sunfleck.document.problem import PlanError
from sunfleck.document.reader import Document, Path, read_document
from sunfleck.document.scalars import resolve

# What an entry is made of: text as it is to be read, keys with values, and lists.
Entry = str | Sequence["Entry"] | Mapping[str, "Entry"]


def append_entry(document: Document, path: Path, entry: Entry) -> str:
    r"""Return the document's text with one more entry at the end of a list.

    Comments, order, spacing and all other characters stay: the change is a line or two more, or a few words within
    brackets. A list that is not there yet is begun under a new key at the end of its group.

    Parameters
    ----------
    document : Document
        As read.
    path : tuple
        Where the list stands, or is to stand: then the last step is its key.
    entry : str, sequence or mapping
        What to add; written on one line, quoted where YAML needs that.

    Returns
    -------
    text : str
        The whole new text, read again and found to differ in that one entry only.

    Raises
    ------
    EditError
        If something else than a list stands at `path`, its group is not there, or nothing can be added.

    Examples
    --------
    >>> document = read_document("box:\n  wide: 1 m # inside\nlamps: []\n")
    >>> print(append_entry(document, ("box", "fans"), {"name": "fan", "at": ["1 cm", "2 cm"]}))
    box:
      wide: 1 m # inside
      fans:
        - {name: fan, at: [1 cm, 2 cm]}
    lamps: []
    <BLANKLINE>
    >>> append_entry(read_document("fans: [{name: low}]  # two"), ("fans",), {"name": "high"})
    'fans: [{name: low}, {name: high}]  # two'
    """
    return written(with_entry(document, path, entry))


def with_entry(document: Document, path: Path, entry: Entry) -> Document:
    """Return the document with one more entry in a list, as `append_entry` writes it: it has been read already."""
    place = ".".join(map(str, path)) or "the top"
    mark = document.marks.get(path)
    if mark is not None and isinstance(value_at(document.data, path), list):
        candidates = _in_a_list(document, path, entry)
    elif (
        mark is None and path[:-1] in document.marks and isinstance(value_at(document.data, path[:-1]), dict)
    ):
        candidates = _under_a_new_key(document, path, entry)
    else:
        msg = f"no list stands at {place}, nor can one be begun there"
        raise EditError(msg)
    wanted = _with_appended(document.data, path, meaning(entry))
    for at, added in candidates:
        text = document.text[:at] + added + document.text[at:]
        try:
            after = read_document(text, document.file)
        except PlanError:
            continue
        if same_but(wanted, after.data):
            return replace(after, begins_with=document.begins_with)
    msg = f"nothing can be added to {place}; change it in an editor"
    raise EditError(msg)


def meaning(entry: Entry) -> Any:
    """Return an entry as it is read back.

    Parameters
    ----------
    entry : str, sequence or mapping
        As `append_entry` takes it.

    Returns
    -------
    data : object
        With numbers, true and false where the text stands for those.

    Examples
    --------
    >>> meaning({"at": ["1 cm", "2"], "swing": "no"})
    {'at': ['1 cm', 2], 'swing': 'no'}
    """
    if isinstance(entry, str):
        return entry if scalar_text(entry).startswith('"') else resolve(entry)
    if isinstance(entry, Mapping):
        return {str(meaning(key)): meaning(value) for key, value in entry.items()}
    return [meaning(value) for value in entry]


def _on_one_line(entry: Entry) -> str:
    if isinstance(entry, str):
        return scalar_text(entry)
    if isinstance(entry, Mapping):
        pairs = (f"{scalar_text(key)}: {_on_one_line(value)}" for key, value in entry.items())
        return "{" + ", ".join(pairs) + "}"
    return "[" + ", ".join(map(_on_one_line, entry)) + "]"


def _with_appended(data: Any, path: Path, value: Any) -> Any:
    """Data with a value more at the end of the list at a path, begun where there is none; the data stay as they are."""
    if not path:
        return [*data, value]
    changed = copy(data)
    if len(path) == 1 and isinstance(data, dict) and path[0] not in data:
        changed[path[0]] = [value]
    else:
        changed[path[0]] = _with_appended(data[path[0]], path[1:], value)
    return changed


def _in_a_list(document: Document, path: Path, entry: Entry) -> Iterator[tuple[int, str]]:
    """Places in the text, and what to put there, for an entry more in a list; the first that reads back well counts."""
    mark, text = document.marks[path], document.text
    line = _on_one_line(entry)
    entries = value_at(document.data, path)
    if text[mark.start : mark.start + 1] == "[":
        yield from _between_brackets(document, path, line, (*path, len(entries) - 1) if entries else None)
        return
    yield from _on_a_line_of_its_own(document, mark.end, [f"{' ' * (mark.column - 1)}- {line}"])


def _under_a_new_key(document: Document, path: Path, entry: Entry) -> Iterator[tuple[int, str]]:
    """The same for a list that is begun with it."""
    parent, text = document.marks[path[:-1]], document.text
    group = value_at(document.data, path[:-1])
    key = scalar_text(str(path[-1]))
    last = (*path[:-1], next(reversed(group))) if group else None
    if text[parent.start : parent.start + 1] == "{":
        yield from _between_brackets(document, path[:-1], f"{key}: [{_on_one_line(entry)}]", last)
        return
    indent = " " * (_column_of_keys(document, path[:-1]) - 1)
    lines = [f"{indent}{key}:", f"{indent}  - {_on_one_line(entry)}"]
    yield from _on_a_line_of_its_own(document, parent.end, lines)


def _column_of_keys(document: Document, path: Path) -> int:
    """Where the keys of a group begin, from 1."""
    group = value_at(document.data, path)
    first = document.marks.get((*path, next(iter(group), "")))
    return (first.key_column if first is not None else None) or document.marks[path].column


def _between_brackets(
    document: Document, path: Path, added: str, last: Path | None
) -> Iterator[tuple[int, str]]:
    """Behind the last of what stands between brackets or braces, or right behind the first of them."""
    if last is None:
        yield document.marks[path].start + 1, added
        return
    yield document.marks[last].end, f", {added}"
    # Behind a quoted or empty last value a space may be missing, and a comma may stand there already.
    yield document.marks[path].end - 1, f", {added}"
    yield document.marks[path].end - 1, f" {added}"


def _on_a_line_of_its_own(document: Document, end: int, lines: list[str]) -> Iterator[tuple[int, str]]:
    """Behind the line in which a block ends, its comment included; or where it ends, at the start of a line."""
    text = document.text
    line_end = _line_end(text)
    if text[end - 1 : end] in ("\n", "\r"):
        yield end, "".join(line + line_end for line in lines)
    ends = min((at for at in (text.find(sign, end) for sign in "\r\n") if at >= 0), default=len(text))
    yield ends, "".join(line_end + line for line in lines)


def _line_end(text: str) -> str:
    """The first line end of a text; of a text of one line the usual one."""
    first = min((at for at in (text.find(sign) for sign in "\r\n") if at >= 0), default=-1)
    if first < 0:
        return "\n"
    return "\r\n" if text[first : first + 2] == "\r\n" else text[first]
