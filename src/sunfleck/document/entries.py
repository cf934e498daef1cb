"""Add whole entries to a list of a document, and change nothing else."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from copy import copy
from dataclasses import replace
from typing import Any

from sunfleck.document.compare import same_but, value_at
from sunfleck.document.edit import EditError, Text, scalar_text, written
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


def append_entries(document: Document, key: str, entries: Sequence[str], before: str) -> str:
    r"""Return the document's text with more entries in one of its lists, each on a line of its own where it can be.

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
        return written(document)
    try:
        added = [read_document(entry).data for entry in entries]
    except PlanError as error:
        msg = f"an entry that cannot be read cannot be added to {key}"
        raise EditError(msg) from error
    return written(_grown(document, (key,), entries, added, before))


def with_entry(document: Document, path: Path, entry: Entry) -> Document:
    """Return the document with one more entry in a list, as `append_entry` writes it: it has been read already."""
    return _grown(document, path, [on_one_line(entry)], [meaning(entry)])


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
        return str(entry) if scalar_text(entry).startswith('"') else resolve(str(entry))
    if isinstance(entry, Mapping):
        return {str(meaning(Text(key))): meaning(value) for key, value in entry.items()}
    return [meaning(value) for value in entry]


def on_one_line(entry: Entry) -> str:
    """Return an entry as YAML on one line.

    Examples
    --------
    >>> on_one_line({"at": ["1 cm", "2"], "swing": "no"})
    '{at: [1 cm, 2], swing: "no"}'
    """
    if isinstance(entry, str):
        return scalar_text(entry)
    if isinstance(entry, Mapping):
        pairs = (f"{scalar_text(Text(key))}: {on_one_line(value)}" for key, value in entry.items())
        return "{" + ", ".join(pairs) + "}"
    return "[" + ", ".join(map(on_one_line, entry)) + "]"


def column_of_keys(document: Document, path: Path) -> int:
    """Return the column in which the keys of a group begin, from 1."""
    group = value_at(document.data, path)
    first = document.marks.get((*path, next(iter(group), "")))
    return (first.key_column if first is not None else None) or document.marks[path].column


def between_brackets(document: Document, path: Path, added: str, last: Path | None) -> Iterator[str]:
    """Yield texts with something more behind one of those between brackets or braces, or right behind the first of them."""
    text, mark = document.text, document.marks[path]
    if last is None:
        yield text[: mark.start + 1] + added + text[mark.start + 1 :]
        return
    end = document.marks[last].end
    yield text[:end] + f", {added}" + text[end:]
    # Behind a quoted or empty last value a space may be missing, and a comma may stand there already.
    for joined in (f", {added}", f" {added}"):
        yield text[: mark.end - 1] + joined + text[mark.end - 1 :]


def on_lines_of_their_own(text: str, end: int, lines: Sequence[str]) -> Iterator[str]:
    """Yield texts with lines behind the one in which a block ends, its comment included; or where it ends, at a line's start."""
    line_end = line_end_of(text)
    if text[end - 1 : end] in ("\n", "\r"):
        yield text[:end] + "".join(line + line_end for line in lines) + text[end:]
    ends = min((at for at in (text.find(sign, end) for sign in "\r\n") if at >= 0), default=len(text))
    yield text[:ends] + "".join(line_end + line for line in lines) + text[ends:]


def line_end_of(text: str) -> str:
    """Return the first line end of a text; of a text of one line the usual one."""
    first = min((at for at in (text.find(sign) for sign in "\r\n") if at >= 0), default=-1)
    if first < 0:
        return "\n"
    return "\r\n" if text[first : first + 2] == "\r\n" else text[first]


def _grown(
    document: Document, path: Path, lines: Sequence[str], added: list[Any], before: str | None = None
) -> Document:
    """Return the document with entries more in a list; `before` asks for a line each, and says where a new list goes."""
    place = ".".join(map(str, path)) or "the top"
    mark = document.marks.get(path)
    if mark is not None and isinstance(value_at(document.data, path), list | None):
        candidates = _in_a_list(document, path, lines, own_lines=before is not None)
    elif mark is None and before is not None:
        candidates = _above(document, path, lines, before)
    elif (
        mark is None and path[:-1] in document.marks and isinstance(value_at(document.data, path[:-1]), dict)
    ):
        candidates = _under_a_new_key(document, path, lines)
    else:
        msg = f"no list stands at {place}, nor can one be begun there"
        raise EditError(msg)
    wanted = _with_appended(document.data, path, added)
    for text in candidates:
        try:
            after = read_document(text, document.file)
        except PlanError:
            continue
        found = after.data
        if before is not None and mark is None and isinstance(found, dict):
            # The new key stands where it was asked for, not at the end.
            wanted, found = dict(sorted(wanted.items())), dict(sorted(found.items()))
        if same_but(wanted, found):
            return replace(after, begins_with=document.begins_with)
    msg = f"nothing can be added to {place} in place; write its entries one a line, each after `- `"
    raise EditError(msg)


def _with_appended(data: Any, path: Path, values: list[Any]) -> Any:
    """Data with values more at the end of the list at a path, begun where there is none; the data stay as they are."""
    if not path:
        return [*(data or ()), *values]
    changed = copy(data)
    if len(path) == 1 and isinstance(data, dict) and path[0] not in data:
        changed[path[0]] = list(values)
    else:
        changed[path[0]] = _with_appended(data[path[0]], path[1:], values)
    return changed


def _in_a_list(document: Document, path: Path, lines: Sequence[str], *, own_lines: bool) -> Iterator[str]:
    """Texts with entries more in a list; the first that reads back well counts."""
    mark, text = document.marks[path], document.text
    known = value_at(document.data, path)
    dashed = [f"- {line}" for line in lines]
    if known is None:
        under = " " * ((mark.key_column or 1) + 1)
        yield from on_lines_of_their_own(text, mark.end, [under + line for line in dashed])
    elif text[mark.start : mark.start + 1] == "[":
        if own_lines and not known:
            under = " " * ((mark.key_column or 1) + 1)
            shorter = text[: mark.start] + text[mark.end :]
            yield from on_lines_of_their_own(shorter, mark.start, [under + line for line in dashed])
        last = (*path, len(known) - 1) if known else None
        yield from between_brackets(document, path, ", ".join(lines), last)
    else:
        dashes = " " * (mark.column - 1)
        yield from on_lines_of_their_own(text, mark.end, [dashes + line for line in dashed])


def _above(document: Document, path: Path, lines: Sequence[str], before: str) -> Iterator[str]:
    """Texts with a new list at the top, above a key."""
    mark, text = document.marks.get((before,)), document.text
    if mark is not None and mark.key_start is not None:
        at = max(text.rfind("\n", 0, mark.key_start), text.rfind("\r", 0, mark.key_start)) + 1
        block = [f"{scalar_text(str(path[-1]))}:", *(f"  - {line}" for line in lines)]
        yield text[:at] + "".join(line + line_end_of(text) for line in block) + text[at:]


def _under_a_new_key(document: Document, path: Path, lines: Sequence[str]) -> Iterator[str]:
    """Texts with a new list at the end of a group."""
    parent, text = document.marks[path[:-1]], document.text
    group = value_at(document.data, path[:-1])
    key = scalar_text(Text(path[-1]))
    last = (*path[:-1], next(reversed(group))) if group else None
    if text[parent.start : parent.start + 1] == "{":
        yield from between_brackets(document, path[:-1], f"{key}: [{', '.join(lines)}]", last)
        return
    indent = " " * (column_of_keys(document, path[:-1]) - 1)
    block = [f"{indent}{key}:", *(f"{indent}  - {line}" for line in lines)]
    yield from on_lines_of_their_own(text, parent.end, block)
