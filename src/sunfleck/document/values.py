"""Set a value of any kind in a document, add, rename or remove its key; and touch as few characters as can be."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from sunfleck.document.compare import put_at, same_but, value_at
from sunfleck.document.edit import EditError, Text, remove_key, replaced_all, scalar_text
from sunfleck.document.entries import (
    Entry,
    between_brackets,
    column_of_keys,
    meaning,
    on_lines_of_their_own,
    on_one_line,
)
from sunfleck.document.lists import emptied, first_that_reads, with_entry_at, without_entry
from sunfleck.document.reader import Document, Path, read_document


def with_value(document: Document, path: Path, value: Entry) -> Document:
    r"""Return the document with another value at a place: one of its own kind, or of another.

    Scalars that differ are replaced where they stand. Of lists the entries that are too many are taken out, and those
    that lack are put in their place; of groups the keys. Only what cannot be changed so is written anew, on one line.

    Parameters
    ----------
    document : Document
        As read.
    path : tuple
        Where a value stands.
    value : str, sequence or mapping
        What is to stand there. Of a group the order of its keys stays; new ones come last.

    Returns
    -------
    document : Document
        That differs in that value only.

    Raises
    ------
    EditError
        If nothing stands at `path`, or the new value cannot stand there.

    Examples
    --------
    >>> document = read_document("at:\n  - 1 cm   # from the left\n  - 2 cm\naim: [1 cm, 2 cm]  # limb\n")
    >>> print(with_value(document, ("at",), ["4 cm", "2 cm"]).text)
    at:
      - 4 cm   # from the left
      - 2 cm
    aim: [1 cm, 2 cm]  # limb
    <BLANKLINE>
    >>> with_value(read_document("hours: 8 h  # day"), ("hours",), ["08:00", "20:00"]).text
    'hours: ["08:00", "20:00"]  # day'
    """
    if path not in document.marks:
        msg = f"nothing stands at {_place(path)}"
        raise EditError(msg)
    wanted = meaning(value)
    try:
        after = _adapted(_scalars_set(document, path, value), path, value)
        if same_but(document.data, after.data, path) and _alike(value_at(after.data, path), wanted):
            return after
    except EditError:
        # What cannot be changed where it stands is written anew.
        pass
    refused = f"{str(wanted)[:60]!r} cannot stand at {_place(path)}; change it in an editor"
    candidates = emptied(document, path, on_one_line(value))
    return first_that_reads(document, candidates, put_at(document.data, path, wanted), refused)


def with_key(document: Document, path: Path, value: Entry, after: str | None = None) -> Document:
    r"""Return the document with a value under a key, which is added to its group where it is not there yet.

    Parameters
    ----------
    document : Document
        As read.
    path : tuple
        Where; the last step is the key.
    value : str, sequence or mapping
        What is to stand there; of a new key on one line.
    after : str, optional
        Key behind which a new one is put; at the end of its group where that is not there or left out.

    Returns
    -------
    document : Document
        That differs in that key only.

    Raises
    ------
    EditError
        If there is no such group, or the value cannot stand there.

    Examples
    --------
    >>> document = read_document("- lamp: spot  # clip\n  at: [1 cm, 2 cm]\n- {lamp: tube}\n")
    >>> print(with_key(document, (0, "aim"), ["1 cm", "0 cm"], after="at").text)
    - lamp: spot  # clip
      at: [1 cm, 2 cm]
      aim: [1 cm, 0 cm]
    - {lamp: tube}
    <BLANKLINE>
    >>> with_key(read_document("{lamp: spot, level: 50 %}"), ("level",), "60 %").text
    '{lamp: spot, level: 60 %}'
    """
    if path in document.marks:
        return with_value(document, path, value)
    inner, key = path[:-1], path[-1] if path else None
    group = value_at(document.data, inner) if path and inner in document.marks else None
    if not isinstance(group, dict) or not isinstance(key, str):
        msg = f"there is no group of keys to which {_place(path)} could be added"
        raise EditError(msg)
    behind = after if after in group else next(reversed(group), None)
    wanted: dict[str, Any] = {}
    for known, old in group.items():
        wanted[known] = old
        if known == behind:
            wanted[key] = meaning(value)
    wanted.setdefault(key, meaning(value))
    refused = f"{key} cannot be added at {_place(inner)}; change it in an editor"
    candidates = _key_added(document, inner, f"{scalar_text(Text(key))}: {on_one_line(value)}", behind)
    return first_that_reads(document, candidates, put_at(document.data, inner, wanted), refused)


def without(document: Document, path: Path) -> Document:
    """Return the document without a key and what stands under it, or without an entry of a list.

    Raises
    ------
    EditError
        If there is none, or it cannot be taken out without touching something else.

    Examples
    --------
    >>> document = read_document("{tether: true, hours: [8, 20]}")
    >>> without(document, ("tether",)).text, without(document, ("hours", 0)).text
    ('{hours: [8, 20]}', '{tether: true, hours: [20]}')
    """
    if path and isinstance(path[-1], int):
        return without_entry(document, path)
    inner = path[:-1]
    if path and path in document.marks and inner and len(value_at(document.data, inner)) == 1:
        refused = f"{_place(path)} cannot be taken out; change it in an editor"
        candidates = emptied(document, inner, "{}")
        return first_that_reads(document, candidates, put_at(document.data, inner, {}), refused)
    return replace(
        read_document(remove_key(document, path).removeprefix(document.begins_with), document.file),
        begins_with=document.begins_with,
    )


def with_key_renamed(document: Document, path: Path, key: str) -> Document:
    """Return the document with another word as the key of a value.

    Raises
    ------
    EditError
        If no key stands at `path`, the new one is there already, or cannot stand there.

    Examples
    --------
    >>> with_key_renamed(read_document("{uv tube: 200 h}  # burned"), ("uv tube",), "left tube").text
    '{left tube: 200 h}  # burned'
    """
    mark = document.marks.get(path)
    if mark is None or mark.key_start is None or mark.key_end is None:
        msg = f"no key stands at {_place(path)}"
        raise EditError(msg)
    group = value_at(document.data, path[:-1])
    if key in group and key != path[-1]:
        msg = f"{key} stands there already"
        raise EditError(msg)
    wanted = {key if known == path[-1] else known: value for known, value in group.items()}
    text = document.text[: mark.key_start] + scalar_text(Text(key)) + document.text[mark.key_end :]
    refused = f"{key[:60]!r} cannot be a key at {_place(path)}; change it in an editor"
    return first_that_reads(document, [text], put_at(document.data, path[:-1], wanted), refused)


def _place(path: Path) -> str:
    return ".".join(map(str, path)) or "the top"


def _alike(found: Any, wanted: Any) -> bool:
    """Equal, whatever the order of keys: a person's order stays."""
    if isinstance(found, dict) and isinstance(wanted, dict):
        return found.keys() == wanted.keys() and all(_alike(found[key], wanted[key]) for key in found)
    if isinstance(found, list) and isinstance(wanted, list):
        return len(found) == len(wanted) and all(map(_alike, found, wanted))
    return same_but(found, wanted)


def _scalars_set(document: Document, path: Path, value: Entry) -> Document:
    """Replace all scalars that have one to take their place at once: each reading of the text takes milliseconds."""
    changes = dict(_scalars(document, path, value))
    return replaced_all(document, changes) if changes else document


def _scalars(document: Document, path: Path, value: Entry) -> Iterator[tuple[Path, str]]:
    old = value_at(document.data, path)
    if isinstance(value, str):
        if path in document.styles and not same_but(old, meaning(value)):
            yield path, value
    elif isinstance(value, Mapping):
        if isinstance(old, dict):
            for key in old:
                if key in value:
                    yield from _scalars(document, (*path, key), value[key])
    elif isinstance(old, list) and len(old) == len(value):
        for index, inner in enumerate(value):
            yield from _scalars(document, (*path, index), inner)


def _adapted(document: Document, path: Path, value: Entry) -> Document:
    """Bring lists and groups to the entries and keys of the value."""
    old = value_at(document.data, path)
    if _alike(old, meaning(value)):
        return document
    if isinstance(old, dict) and isinstance(value, Mapping) and old and value:
        for key in [key for key in old if key not in value]:
            document = without(document, (*path, key))
        for key, inner in value.items():
            place = (*path, key)
            document = _adapted(document, place, inner) if key in old else with_key(document, place, inner)
        return document
    if isinstance(old, list) and not isinstance(value, str | Mapping) and old and value:
        return _entries_adapted(document, path, old, value)
    candidates = emptied(document, path, on_one_line(value))
    wanted = put_at(document.data, path, meaning(value))
    return first_that_reads(document, candidates, wanted, f"{_place(path)} cannot be changed in place")


def _entries_adapted(document: Document, path: Path, old: list[Any], value: Sequence[Entry]) -> Document:
    """Change the entries between those that stay at the beginning and at the end."""
    new = [meaning(entry) for entry in value]
    least = min(len(old), len(new))
    first = next((k for k in range(least) if not _alike(old[k], new[k])), least)
    last = next((k for k in range(least - first) if not _alike(old[-1 - k], new[-1 - k])), least - first)
    for index in range(len(old) - last - 1, first + (len(new) - last - first) - 1, -1):
        document = without_entry(document, (*path, index))
    for index in range(first, len(new) - last):
        place = (*path, index)
        if index < len(old) - last:
            document = _adapted(_scalars_set(document, place, value[index]), place, value[index])
        else:
            document = with_entry_at(document, place, value[index])
    return document


def _key_added(document: Document, path: Path, added: str, behind: str | None) -> Iterator[str]:
    text, mark = document.text, document.marks[path]
    last = (*path, behind) if behind is not None else None
    if text[mark.start : mark.start + 1] == "{":
        yield from between_brackets(document, path, added, last)
        return
    end = document.marks[last].end if last is not None else mark.end
    indent = " " * (column_of_keys(document, path) - 1)
    yield from on_lines_of_their_own(text, end, [indent + added])
