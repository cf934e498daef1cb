"""Edits of a plan in a builder's terms: move, aim, add, copy, delete, rename.

Each function looks at nothing yet: it returns an :class:`Edit`, which a session applies. New lengths are written in
the unit that stood there, to 1 mm or 1/16 in; what does not change is not touched. An edit that cannot be made raises
EditError, in plain words, when it is applied.

Parts are told by `group` (``fixtures``, ``perches``, ``ledges``, ``backgrounds``, ``plants``, ``hides``, ``stations``,
``animals``, ``meters``, ``doors``, ``vents``, ``fans``; ``shapes`` by the name of their perch) and `part`: the name as
written, or the place in the list from 0, which also tells parts of the same name apart.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from sunfleck.document.entries import Entry
from sunfleck.document.reader import Document, Path

Point = tuple[float, float, float]


@dataclass(frozen=True)
class Edit:
    """A change of a plan that can be applied and undone.

    Attributes
    ----------
    label : str
        What it does, in words: ``move basking lamp``.
    change : callable
        From the document before to the document after, read again; raises EditError where it cannot be made.
    together : str
        Consecutive edits with the same word here are one step of undo, as nudges of one lamp are; "" for a step of
        its own.
    """

    label: str
    change: Callable[[Document], Document]
    together: str = ""


def move(
    group: str, part: str | int, delta: Point, *, point: int | None = None, with_aim: bool = False
) -> Edit:
    """Move a part by a distance.

    Parameters
    ----------
    group, part : str, str or int
        Which.
    delta : (float, float, float)
        How far, along the axes of the box. Of a part on a face what points into the wall is left out. [m]
    point : int, optional
        Of a perch: the one point of its path that moves, from 0; the whole perch, its joint and shape when left out.
        Of a tube: 0 its `from`, 1 its `to`.
    with_aim : bool
        Of a lamp: whether what it is aimed at moves with it. A thermostat's probe stays where it is.

    Returns
    -------
    edit : Edit
        Consecutive moves of the same part are one step.
    """
    raise NotImplementedError


def move_to(
    group: str, part: str | int, to: Point, *, point: int | None = None, with_aim: bool = False
) -> Edit:
    """Move a part so that its first point (of a plant the middle of its crown, of a perch `point`) is at a place.

    Made for dragging: places do not add up rounding as distances do. See :func:`move`. [m]
    """
    raise NotImplementedError


def aim(fixture: str | int, at: Point) -> Edit:
    """Aim a bulb at a point. [m]"""
    raise NotImplementedError


def set_value(path: Path, value: Entry) -> Edit:
    """Set what stands at a path, or add it there: text as a person writes it, or lists and keys of such text."""
    raise NotImplementedError


def remove_value(path: Path) -> Edit:
    """Take out a key, or an entry of a list."""
    raise NotImplementedError


def add(group: str, entry: Mapping[str, Entry]) -> Edit:
    """Add a part at the end of its group."""
    raise NotImplementedError


def duplicate(group: str, part: str | int, name: str | None = None, delta: Point | None = None) -> Edit:
    """Copy a part behind itself, under a name of its own, and moved by a distance where one is given. [m]

    Without a name the copy is called after the part: `uv tube 2`, or the first number that is free. Evidence stays
    with the lamp that was read.
    """
    raise NotImplementedError


def delete(group: str, part: str | int) -> Edit:
    """Take a part out."""
    raise NotImplementedError


def rename(group: str, part: str | int, name: str) -> Edit:
    """Give a part another name; where the plan names it (a meter, in what it read), that follows.

    Surveys beside the plan are files of their own: :func:`sunfleck.service.workbench.references.surveys_naming`.
    """
    raise NotImplementedError


def enclosure_size(
    *, width: float | None = None, depth: float | None = None, height: float | None = None
) -> Edit:
    """Set the inside size; nothing else moves, and what no longer fits is told by the rules. [m]"""
    raise NotImplementedError


def hours(fixture: str | int, times: Sequence[str] | None, *, winter: bool = False) -> Edit:
    """Set when a lamp is on, as ``["08:00", "20:00"]``: on, off and so on; None takes the key out."""
    raise NotImplementedError


def level(fixture: str | int, share: float) -> Edit:
    """Set a lamp's level, 0 to 1."""
    raise NotImplementedError


def exchange_lamp(fixture: str | int, lamp: str) -> Edit:
    """Put another lamp in a fixture; readings, burning hours and photometry belong to the old one and go with it."""
    raise NotImplementedError
