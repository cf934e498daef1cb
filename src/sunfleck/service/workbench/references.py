"""Where surveys beside a plan name its lamps, stations and perches; and giving them the new name there.

Surveys are records: what was read stays. But a lamp that got another name in the plan is unknown to them until they
call it so too. They are files of their own, so undoing a rename in the plan does not undo it here: rename back.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sunfleck.document.compare import value_at
from sunfleck.document.edit import Text, replaced_all, written
from sunfleck.document.problem import PlanError
from sunfleck.document.reader import Document, read_document_bytes
from sunfleck.document.reader import Path as Place
from sunfleck.document.values import with_key_renamed
from sunfleck.errors import SunfleckError
from sunfleck.service.keeping import locked, write_whole
from sunfleck.service.surveys import folder_of
from sunfleck.service.workbench.parts import group_path

# Stops that are passed are called after the part: see studies.meter.hold_points.
_STOPS = {"perches": "proof-load ", "fixtures": "probe "}


@dataclass(frozen=True)
class Mention:
    """A survey that names a part of the plan.

    Attributes
    ----------
    file : Path
        The survey.
    places : tuple of tuple
        Where, as paths in it.
    unread : bool
        Whether it cannot be read, so that nobody knows.
    """

    file: Path
    places: tuple[Place, ...]
    unread: bool = False


def surveys_naming(plan_path: str | Path, group: str, name: str) -> tuple[Mention, ...]:
    """Return the surveys that name a part, and those that cannot be read.

    Parameters
    ----------
    plan_path : str or Path
        The plan file, or its folder.
    group, name : str
        Which part, by the name that it has there.

    Raises
    ------
    EditError
        If there is no such group.
    """
    group_path(group)
    found = []
    for file in _files(plan_path):
        document = _read(file)
        places = tuple(_places(document, group, name)) if document is not None else ()
        if places or document is None:
            found.append(Mention(file, places, document is None))
    return tuple(found)


def rename_in_surveys(plan_path: str | Path, group: str, old: str, new: str) -> tuple[Path, ...]:
    """Give a part its new name in the surveys that name it; all else in them stays.

    Parameters
    ----------
    plan_path : str or Path
        The plan file, or its folder.
    group, old, new : str
        Which part, the name that it has there, and the new one.

    Returns
    -------
    files : tuple of Path
        Surveys that were written; one that cannot be read is left as it is.

    Raises
    ------
    SunfleckError
        If one cannot be written, or the name cannot stand there; those before it are written by then.
    """
    group_path(group)
    done = []
    folder = folder_of(plan_path)
    if not _files(plan_path):
        return ()
    with locked(folder):
        for file in _files(plan_path):
            document = _read(file)
            places = tuple(_places(document, group, old)) if document is not None else ()
            if document is None or not places:
                continue
            try:
                write_whole(file, written(_renamed(document, group, places, new)).encode())
            except OSError as error:
                msg = f"cannot write {file}: {error.strerror or error}; it is as it was"
                raise SunfleckError(msg) from error
            done.append(file)
    return tuple(done)


def _renamed(document: Document, group: str, places: tuple[Place, ...], new: str) -> Document:
    keys = [place for place in places if place[0] in ("lamp_hours", "levels")]
    values = {
        place: Text(_STOPS[group] + new if place[0] == "held" else new)
        for place in places
        if place not in keys
    }
    document = replaced_all(document, values) if values else document
    for place in keys:
        document = with_key_renamed(document, place, new)
    return document


def _places(document: Document, group: str, name: str) -> Iterator[Place]:
    if not isinstance(document.data, dict):
        return
    for path in document.marks:
        match path:
            case ("lit", int()) | ("readings", int(), "lit", int()) if group == "fixtures":
                wanted = name
            case ("lamp_hours" | "levels", str(key)) if group == "fixtures":
                if key == name:
                    yield path
                continue
            case ("readings", int(), "at") if group == "stations":
                wanted = name
            case ("held", int(), "what") if group in _STOPS:
                wanted = _STOPS[group] + name
            case _:
                continue
        if path in document.styles and str(value_at(document.data, path)).strip() == wanted:
            yield path


def _files(plan_path: str | Path) -> tuple[Path, ...]:
    try:
        files = folder_of(plan_path).glob("*.yaml")
        return tuple(sorted(file for file in files if not file.name.startswith(".")))
    except (OSError, ValueError):
        return ()


def _read(file: Path) -> Document | None:
    try:
        return read_document_bytes(file.read_bytes(), str(file))
    except (OSError, PlanError):
        return None
