"""Search, show, compare and check entries of the library."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sunfleck.document.problem import nearest
from sunfleck.errors import DomainError, LibraryError
from sunfleck.library.entries import Entry
from sunfleck.library.folders import library_for
from sunfleck.library.loader import SECTIONS, Library, load_library, values_of
from sunfleck.library.values import Sourced

MOST_FOUND = 60


@dataclass(frozen=True)
class Found:
    """One entry with its values.

    Attributes
    ----------
    section, id : str
        Where it stands: ``lamps``, ``uv-t5-54w-reflector``.
    name : str
        Its name for people.
    values : dict of str to Sourced
        By field, in the order of its class.
    """

    section: str
    id: str
    name: str
    values: dict[str, Sourced]

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "section": self.section,
            "id": self.id,
            "name": self.name,
            "values": {field: _plain(value) for field, value in self.values.items()},
        }


def search(words: str, plan_folder: Path | None = None) -> tuple[Found, ...]:
    """Return the entries in which every word stands: in an id, a name, a value, a source or a note.

    Parameters
    ----------
    words : str
        Words, in any order and case; parts of words count. None finds everything.
    plan_folder : Path, optional
        Folder of a plan, whose own entries are searched too.

    Returns
    -------
    found : tuple of Found
        Those with the words in id or name first; at most 60.
    """
    wanted = re.findall(r"\S+", words.casefold())
    ranked: list[tuple[int, int, Found]] = []
    for one in _all(library_for(plan_folder)):
        head = f"{one.section} {one.id} {one.name}".casefold()
        whole = f"{head} {' '.join(_text(value) for value in one.values.values())}".casefold()
        if all(word in whole for word in wanted):
            ranked.append((-sum(word in head for word in wanted), len(ranked), one))
    return tuple(one for _, _, one in sorted(ranked, key=lambda each: each[:2])[:MOST_FOUND])


def show(name: str, plan_folder: Path | None = None) -> Found:
    """Return one entry by its id, with or without its section before it.

    Parameters
    ----------
    name : str
        ``uv-t5-54w-reflector`` or ``lamps/uv-t5-54w-reflector``.
    plan_folder : Path, optional
        Folder of a plan, whose own entries are known too.

    Returns
    -------
    found : Found
        The entry.

    Raises
    ------
    DomainError
        If there is none, or several sections have one of that id; the nearest id is named.
    """
    everything = _all(library_for(plan_folder))
    hits = [one for one in everything if name in (one.id, f"{one.section}/{one.id}")]
    if len(hits) > 1:
        places = " or ".join(f"{one.section}/{one.id}" for one in hits)
        msg = f"there is more than one {name!r}; say {places}"
        raise DomainError(msg)
    if not hits:
        near = nearest(name, [one.id for one in everything]) or next(
            (one.id for one in everything if name.casefold() in one.id), None
        )
        hint = f"; did you mean {near}?" if near else "; `sunfleck library search WORDS` finds what there is"
        msg = f"the library has no {name!r}{hint}"
        raise DomainError(msg)
    return hits[0]


def compare(names: tuple[str, ...], plan_folder: Path | None = None) -> tuple[Found, ...]:
    """Return several entries of one section.

    Parameters
    ----------
    names : tuple of str
        Ids, two or more.
    plan_folder : Path, optional
        Folder of a plan, whose own entries are known too.

    Returns
    -------
    found : tuple of Found
        In the order asked for.

    Raises
    ------
    DomainError
        If one is not there, or they belong to different sections.
    """
    found = tuple(show(name, plan_folder) for name in names)
    sections = dict.fromkeys(one.section for one in found)
    if len(sections) > 1:
        msg = f"only entries of one section can be compared; these are {', '.join(sections)}"
        raise DomainError(msg)
    return found


def faults_in(folder: Path) -> tuple[str, ...]:
    """Return everything that is wrong with a folder of library entries; nothing if it is sound.

    Parameters
    ----------
    folder : Path
        With sections (``lamps``, ``animals``) and files.

    Returns
    -------
    faults : tuple of str
        One line each: file, field, what is wrong.
    """
    try:
        load_library(folder)
    except LibraryError as error:
        return tuple(str(error).splitlines())
    return ()


def _all(library: Library) -> list[Found]:
    return [
        Found(section, id_, name_of(entry, id_), dict(values_of(entry)))
        for section in SECTIONS
        for id_, entry in getattr(library, section).items()
    ]


def name_of(entry: Entry, id_: str) -> str:
    """Return an entry's name for people: that of an animal or plant with its species."""
    common, species = getattr(entry, "common_name", None), getattr(entry, "species", None)
    if common is not None and species is not None:
        return f"{common.value} ({species.value})"
    name = getattr(entry, "name", None) or common
    return str(name.value) if name is not None else id_


def _text(value: Sourced) -> str:
    return f"{value.value} {value.source} {value.basis} {value.note}"


def _plain(value: Sourced) -> dict[str, Any]:
    plain: dict[str, Any] = {
        "value": list(value.value) if isinstance(value.value, tuple) else value.value,
        "unit": value.unit,
        "source": value.source,
        "basis": value.basis,
    }
    for key in ("note", "measured_with"):
        if getattr(value, key):
            plain[key] = getattr(value, key)
    if value.spread_low or value.spread_high:
        plain["spread"] = {"low": value.spread_low, "high": value.spread_high}
    return plain
