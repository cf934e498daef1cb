"""The library: all entries, its hash, and the user's own values in place of its values."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

import platformdirs

from sunfleck.errors import LibraryError, UnitError
from sunfleck.library.consistency import contradictions
from sunfleck.library.entries import (
    Animal,
    Cooler,
    Entry,
    Family,
    Fan,
    Finish,
    Fogger,
    Guard,
    Lamp,
    Material,
    Mesh,
    Pane,
    Plant,
    SpaceRule,
    Substrate,
    Wood,
)
from sunfleck.library.fields import rules_of
from sunfleck.library.kept import kept_or_read
from sunfleck.library.reading import read_entry
from sunfleck.library.values import BASES, Sourced, Value

DATA = Path(__file__).parent / "data"
ID = re.compile(r"[a-z0-9]+(?:[.-][a-z0-9]+)*")
SECTIONS: Mapping[str, type[Entry]] = MappingProxyType(
    {
        "animals": Animal,
        "lamps": Lamp,
        "meshes": Mesh,
        "panes": Pane,
        "finishes": Finish,
        "woods": Wood,
        "guards": Guard,
        "materials": Material,
        "families": Family,
        "space_rules": SpaceRule,
        "plants": Plant,
        "substrates": Substrate,
        "fans": Fan,
        "coolers": Cooler,
        "foggers": Fogger,
    }
)


@dataclass(frozen=True, slots=True)
class Library:
    """Everything the library knows.

    Attributes
    ----------
    animals, lamps, meshes, panes, finishes, woods, guards, materials, families, space_rules, plants, substrates, fans,
    coolers, foggers : mapping of str to dataclass
        Entries by id, in the order of their ids.
    hash : str
        SHA-256 over the content, in an order of its own: the same content has the same hash
        whatever the order, spacing and spelling of its files.
    """

    animals: Mapping[str, Animal]
    lamps: Mapping[str, Lamp]
    meshes: Mapping[str, Mesh]
    panes: Mapping[str, Pane]
    finishes: Mapping[str, Finish]
    woods: Mapping[str, Wood]
    guards: Mapping[str, Guard]
    materials: Mapping[str, Material]
    families: Mapping[str, Family]
    space_rules: Mapping[str, SpaceRule]
    plants: Mapping[str, Plant]
    substrates: Mapping[str, Substrate]
    fans: Mapping[str, Fan]
    coolers: Mapping[str, Cooler]
    foggers: Mapping[str, Fogger]
    hash: str

    def values(self) -> Iterator[tuple[str, Sourced]]:
        """Yield every value with its key ``section/id/field``."""
        for section in SECTIONS:
            for id_, entry in getattr(self, section).items():
                for name, value in values_of(entry):
                    yield f"{section}/{id_}/{name}", value

    def value_keys(self) -> tuple[str, ...]:
        """Return the keys of all values, as ``section/id/field``."""
        return tuple(key for key, _ in self.values())

    def replaced(
        self, key: str, value: str | float | bool, *, source: str, basis: str, alone: bool = True
    ) -> Library:
        """Return a library with one value replaced by the user's own.

        Parameters
        ----------
        key : str
            ``section/id/field`` of a value the library has.
        value : str, float or bool
            The user's value, written as in a plan: ``56 W``, ``0.7``, ``true``.
        source, basis : str
            Where it comes from and how well it is known.
        alone : bool, default True
            Whether it has to fit the entry's other values by itself. Of several values of one entry only all
            together have to: put them in with False, and ask `contradictions` of the entry afterwards.

        Returns
        -------
        library : Library
            With that value; the spread stays the library's, since a single value says nothing of it.

        Raises
        ------
        KeyError
            If the library has no such value; its argument says what is not there.
        UnitError
            If the value is not what the field holds, or contradicts the entry's other values.
        LibraryError
            If `source` is empty or `basis` is not one of `BASES`.
        """
        section, id_, name = self._find(key)
        if not source.strip() or basis not in BASES:
            msg = f"{key}: an own value needs a source, and a basis that is one of {', '.join(BASES)}"
            raise LibraryError(msg)
        entries = getattr(self, section)
        entry = entries[id_]
        old: Sourced = getattr(entry, name)
        new = dataclasses.replace(
            old,
            value=rules_of(SECTIONS[section])[name].read(value),
            source=source,
            basis=basis,
            note=f"own value in place of the library's ({old.basis}: {old.source})",
            where=f"plan own_values: {key}",
        )
        changed = dataclasses.replace(entry, **{name: new})
        faults = contradictions(changed) if alone else []
        if faults:
            raise UnitError(
                str(value), f"a value that fits the rest of {section}/{id_} ({'; '.join(faults)})"
            )
        sections: dict[str, Mapping[str, Entry]] = {each: getattr(self, each) for each in SECTIONS}
        sections[section] = MappingProxyType({**entries, id_: changed})
        return _library(sections)

    def _find(self, key: str) -> tuple[str, str, str]:
        parts = key.split("/")
        if len(parts) != 3:
            msg = f"{key!r} does not have three parts"
            raise KeyError(msg)
        section, id_, name = parts
        if section not in SECTIONS:
            msg = f"no section {section!r}"
            raise KeyError(msg)
        entry = getattr(self, section).get(id_)
        if entry is None:
            msg = f"no {id_!r} in {section}"
            raise KeyError(msg)
        if name not in rules_of(SECTIONS[section]) or getattr(entry, name) is None:
            msg = f"no value {name!r} in {section}/{id_}"
            raise KeyError(msg)
        return section, id_, name


def load_library(extra: Path | None = None, below: Library | None = None) -> Library:
    """Load the library.

    Parameters
    ----------
    extra : Path, optional
        A folder with sections and files of the same form; its entries are added, and take the place
        of entries with the same id.
    below : Library, optional
        What they are added to; the bundled library when left out.

    Returns
    -------
    library : Library
        Read once in a process when there is no `extra`.

    Raises
    ------
    LibraryError
        With every fault of every file: a value without source or basis, an unknown key, a wrong unit.
    """
    if extra is None:
        return _bundled()
    under = below if below is not None else _bundled()
    added = _read_folder(extra)
    return _library({name: {**getattr(under, name), **added[name]} for name in SECTIONS})


def values_of(entry: Entry) -> Iterator[tuple[str, Sourced]]:
    """Yield the fields of an entry that have a value, in the order of its class."""
    for field in dataclasses.fields(entry):
        value = getattr(entry, field.name)
        if value is not None:
            yield field.name, value


@cache
def _bundled() -> Library:
    cache = platformdirs.user_cache_path("sunfleck")
    return _library(kept_or_read(DATA, SECTIONS, cache, _read_folder))


def _read_folder(folder: Path) -> dict[str, dict[str, Entry]]:
    sections: dict[str, dict[str, Entry]] = {name: {} for name in SECTIONS}
    faults: list[str] = []
    if not folder.is_dir():
        msg = f"{folder.name}: is not a folder of library files"
        raise LibraryError(msg)
    for part in sorted(folder.iterdir()):
        if part.is_dir() and part.name not in SECTIONS:
            faults.append(f"{part.name}: no such section; there are {', '.join(SECTIONS)}")
    for name, kind in SECTIONS.items():
        for path in sorted((folder / name).glob("*.yaml")):
            if not ID.fullmatch(path.stem):
                faults.append(f"{name}/{path.name}: an id has small letters, digits, dots and dashes only")
                continue
            try:
                sections[name][path.stem] = read_entry(kind, name, path.stem, path)
            except LibraryError as error:
                faults.append(str(error))
    if faults:
        raise LibraryError("\n".join(faults))
    return sections


def _library(sections: Mapping[str, Mapping[str, Entry]]) -> Library:
    ordered: dict[str, Any] = {
        name: MappingProxyType(dict(sorted(entries.items()))) for name, entries in sections.items()
    }
    return Library(**ordered, hash=_content_hash(ordered))


def _content_hash(sections: Mapping[str, Mapping[str, Entry]]) -> str:
    content = {
        f"{section}/{id_}/{name}": [
            _canonical(value.value),
            value.unit,
            value.source,
            value.basis,
            _canonical((value.spread_low, value.spread_high)),
            value.note,
            value.measured_with,
        ]
        for section, entries in sections.items()
        for id_, entry in entries.items()
        for name, value in values_of(entry)
    }
    canonical = json.dumps(content, sort_keys=True, ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(canonical.encode("ascii")).hexdigest()


def _canonical(value: Value) -> str:
    """Return a value as text, with twelve digits: conversion to SI may differ in the last bit."""
    if isinstance(value, tuple):
        return " ".join(_canonical(part) for part in value)
    if isinstance(value, (bool, str)):
        return str(value)
    return f"{value:.12g}"
