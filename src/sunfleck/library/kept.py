"""What was read of the library's files, kept in the user's cache folder: reading some hundred of them takes a second."""

from __future__ import annotations

import hashlib
import json
import os
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Any

from sunfleck.library.entries import Entry
from sunfleck.library.values import Sourced

Sections = dict[str, dict[str, Entry]]
CODE = Path(__file__).parents[1]


def kept_or_read(
    folder: Path, kinds: Mapping[str, type[Entry]], cache: Path, read: Callable[[Path], Sections]
) -> Sections:
    """Return the entries of a folder from the cache if nothing has changed, else read them and keep them.

    Parameters
    ----------
    folder : Path
        Sections with files.
    kinds : mapping of str to type
        Class of the entries of each section.
    cache : Path
        Where to keep what was read.
    read : callable
        Reads the folder, and refuses what is wrong in it; nothing that was refused is kept.

    Returns
    -------
    sections : dict of str to dict of str to dataclass
        The same either way. A kept file that cannot be read or does not fit is as none.
    """
    kept = cache / f"library-{_stamp(folder)}.json"
    sections = _load(kept, kinds)
    if sections is None:
        sections = read(folder)
        _keep(kept, sections)
    return sections


def _stamp(folder: Path) -> str:
    """Names, sizes and times of all files of the folder and of the code that reads them."""
    told = hashlib.sha256()
    for place, pattern in ((folder, "*/*.yaml"), (CODE, "library/**/*.py"), (CODE, "units/*.py")):
        for file in sorted(place.glob(pattern)):
            state = file.stat()
            told.update(f"{file.relative_to(place)} {state.st_size} {state.st_mtime_ns}\n".encode())
    return told.hexdigest()[:32]


def _load(kept: Path, kinds: Mapping[str, type[Entry]]) -> Sections | None:
    try:
        plain = json.loads(kept.read_text(encoding="utf-8"))
        return {
            section: {
                id_: kind(**{name: _value(each) for name, each in entry.items()})
                for id_, entry in plain[section].items()
            }
            for section, kind in kinds.items()
        }
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return None


def _value(plain: dict[str, Any]) -> Sourced:
    value = plain.pop("value")
    return Sourced(value=tuple(value) if isinstance(value, list) else value, **plain)


def _keep(kept: Path, sections: Sections) -> None:
    """Write beside and put in place, so that nobody ever reads half a file; a full disk is no error."""
    plain = {
        section: {id_: _plain(entry) for id_, entry in entries.items()}
        for section, entries in sections.items()
    }
    try:
        kept.parent.mkdir(parents=True, exist_ok=True)
        handle, beside = tempfile.mkstemp(dir=kept.parent, suffix=".json")
        with os.fdopen(handle, "w", encoding="utf-8") as stream:
            json.dump(plain, stream)
        os.replace(beside, kept)
        for old in kept.parent.glob("library-*.json"):
            if old != kept:
                old.unlink(missing_ok=True)
    except OSError:
        return


def _plain(entry: Entry) -> dict[str, dict[str, Any]]:
    values = {field.name: getattr(entry, field.name) for field in fields(entry)}
    return {
        name: {field.name: getattr(value, field.name) for field in fields(Sourced)}
        for name, value in values.items()
        if value is not None
    }
