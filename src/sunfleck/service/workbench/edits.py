"""Edits of a plan in a builder's terms: move, aim, add, copy, delete, rename.

Each function looks at nothing yet: it returns an :class:`Edit`, which a session applies. New lengths are written in
the unit that stood there, to 1 mm or 1/16 in; what does not change is not touched. An edit that cannot be made raises
EditError, in plain words, when it is applied.

Parts are told by `group` (``fixtures``, ``perches``, ``ledges``, ``backgrounds``, ``plants``, ``hides``, ``stations``,
``animals``, ``meters``, ``doors``, ``vents``, ``fans``; ``shapes`` by the name of their perch) and `part`: the name as
written, or the place in the list from 0, which also tells parts of the same name apart.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from typing import Any

from sunfleck.document.compare import value_at
from sunfleck.document.edit import EditError, Text, replaced, replaced_all
from sunfleck.document.entries import Entry, with_entry
from sunfleck.document.lists import with_copy, without_entry
from sunfleck.document.reader import Document, Path
from sunfleck.document.values import with_key, without
from sunfleck.errors import UnitError
from sunfleck.plan.rules.names import slug
from sunfleck.service.workbench.parts import (
    GROUPS,
    axes_of,
    finite,
    group_path,
    moved,
    name_of,
    named,
    new_point,
    part_path,
    places_of,
    plain_path,
    point_read,
)
from sunfleck.units import length_like, parse_clock

Point = tuple[float, float, float]
_DEEPEST = 12


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

    def change(document: Document) -> Document:
        return _moved(document, group, part, finite(delta, 3, "a distance"), point, with_aim=with_aim)

    return Edit(f"move {_told(part)}", change, f"move {group} {part!r} {point} {with_aim}")


def move_to(
    group: str, part: str | int, to: Point, *, point: int | None = None, with_aim: bool = False
) -> Edit:
    """Move a part so that its first point (of a plant the middle of its crown, of a perch `point`) is at a place.

    Made for dragging: places do not add up rounding as distances do. See :func:`move`. [m]
    """

    def change(document: Document) -> Document:
        goal = finite(to, 3, "a place")
        path = part_path(document, group, part)
        if _shape_without_place(document, group, path):
            return with_key(document, (*path, "shape", "at"), new_point(document, goal))
        first = places_of(document, group, path, point, with_aim=with_aim)[0]
        delta = [0.0, 0.0, 0.0]
        for axis, old in zip(axes_of(document, group, path), point_read(document, first), strict=False):
            delta[axis] = goal[axis] - old
        return _moved(document, group, part, delta, point, with_aim=with_aim)

    return Edit(f"move {_told(part)}", change, f"move {group} {part!r} {point} {with_aim}")


def aim(fixture: str | int, at: Point) -> Edit:
    """Aim a bulb at a point. [m]"""

    def change(document: Document) -> Document:
        goal = finite(at, 3, "a point")
        path = part_path(document, "fixtures", fixture)
        if (*path, "aim") in document.marks:
            delta = [new - old for new, old in zip(goal, point_read(document, (*path, "aim")), strict=False)]
            return _all_replaced(document, moved(document, (*path, "aim"), delta))
        if (*path, "at") not in document.marks:
            msg = f"{named(document, path)} has no `at`: a tube is not aimed but turned, with `roll`"
            raise EditError(msg)
        like = [str(each) for each in value_at(document.data, (*path, "at"))]
        point_read(document, (*path, "at"))
        texts = [length_like(old, new) for old, new in zip(like, goal, strict=False)]
        return with_key(document, (*path, "aim"), texts, after="at")

    return Edit(f"aim {_told(fixture)}", change, f"aim {fixture!r}")


def set_value(path: Path, value: Entry) -> Edit:
    """Set what stands at a path, or add it there: text as a person writes it, or lists and keys of such text."""
    return Edit(f"set {_where(path)}", lambda document: with_key(document, plain_path(path), as_entry(value)))


def append(path: Path, entry: Entry) -> Edit:
    """Add an entry at the end of the list at a path, which is begun with it where there is none."""
    return Edit(
        f"add to {_where(path)}", lambda document: with_entry(document, plain_path(path), as_entry(entry))
    )


def remove_value(path: Path) -> Edit:
    """Take out a key, or an entry of a list."""
    return Edit(f"take out {_where(path)}", lambda document: without(document, plain_path(path)))


def add(group: str, entry: Mapping[str, Entry]) -> Edit:
    """Add a part at the end of its group."""

    def change(document: Document) -> Document:
        written = as_entry(entry)
        if not isinstance(written, Mapping) or not written or group == "shapes":
            msg = f"a new part of {group} has keys with values" + (
                "; a shape is a perch's" if group == "shapes" else ""
            )
            raise EditError(msg)
        return with_entry(document, group_path(group), written)

    name = name_of(dict(entry)) if isinstance(entry, Mapping) else None
    return Edit(f"add {name or 'to ' + str(group)}", change)


def duplicate(group: str, part: str | int, name: str | None = None, delta: Point | None = None) -> Edit:
    """Copy a part behind itself, under a name of its own, and moved by a distance where one is given. [m]

    Without a name the copy is called after the part: `uv tube 2`, or the first number that is free. Evidence stays
    with the lamp that was read.
    """

    def change(document: Document) -> Document:
        _not_a_shape(group)
        path = part_path(document, group, part)
        entry = value_at(document.data, path)
        copy_path = (*path[:-1], int(path[-1]) + 1)
        new = Text(
            name.strip()
            if isinstance(name, str) and name.strip()
            else _free_name(document, named(document, path))
        )
        if "name" in entry:
            document = with_copy(document, path, new)
        else:
            # Animals may go by their species.
            document = with_copy(document, path, Text(entry.get("species", "")), "species")
            document = with_key(document, (*copy_path, "name"), new, after="species")
        for key in ("evidence", "age") if group == "fixtures" else ():
            if (*copy_path, key) in document.marks:
                document = without(document, (*copy_path, key))
        if delta is not None:
            document = _moved(
                document, group, copy_path[-1], finite(delta, 3, "a distance"), None, with_aim=True
            )
        return document

    return Edit(f"copy {_told(part)}", change)


def delete(group: str, part: str | int) -> Edit:
    """Take a part out."""

    def change(document: Document) -> Document:
        path = part_path(document, group, part)
        return without(document, (*path, "shape")) if group == "shapes" else without_entry(document, path)

    return Edit(f"delete {_told(part)}", change)


def rename(group: str, part: str | int, name: str) -> Edit:
    """Give a part another name; where the plan names it (a meter, in what it read), that follows.

    Surveys beside the plan are files of their own: :func:`sunfleck.service.workbench.references.surveys_naming`.
    """

    def change(document: Document) -> Document:
        _not_a_shape(group)
        path = part_path(document, group, part)
        new, old = Text(str(name).strip()), named(document, path)
        if not new:
            msg = f"{old} needs a name with at least one sign"
            raise EditError(msg)
        if (*path, "name") not in document.marks:
            return with_key(document, (*path, "name"), new, after="species")
        follow = _read_with(document, old) if group == "meters" else []
        for place in ((*path, "name"), *follow):
            document = replaced(document, place, new)
        return document

    return Edit(f"rename {_told(part)} to {str(name).strip()}", change)


def enclosure_size(
    *, width: float | None = None, depth: float | None = None, height: float | None = None
) -> Edit:
    """Set the inside size; nothing else moves, and what no longer fits is told by the rules. [m]"""

    def change(document: Document) -> Document:
        inside: Path = ("enclosure", "inside")
        for key, size in (("width", width), ("depth", depth), ("height", height)):
            if size is not None:
                (metres,) = finite((size,), 1, f"the {key}")
                old = value_at(document.data, (*inside, key)) if (*inside, key) in document.marks else None
                try:
                    text = length_like(str(old), metres)
                except UnitError:
                    # Whatever stood there was no length.
                    (text,) = new_point(document, (metres,))
                document = with_key(document, (*inside, key), text)
        return document

    return Edit("change the size of the box", change, "size of the box")


def hours(fixture: str | int, times: Sequence[str] | None, *, winter: bool = False) -> Edit:
    """Set when a lamp is on, as ``["08:00", "20:00"]``: on, off and so on; None takes the key out."""

    def change(document: Document) -> Document:
        path = part_path(document, "fixtures", fixture)
        key = "winter_hours" if winter else "hours"
        if times is None:
            return without(document, (*path, key)) if (*path, key) in document.marks else document
        try:
            for each in (times,) if isinstance(times, str) else times:
                parse_clock(str(each))
        except (UnitError, TypeError) as error:
            msg = f'hours are times of day in a list, such as ["08:00", "20:00"]: {error}'
            raise EditError(msg) from error
        entry = value_at(document.data, path)
        behind = next(
            (k for k in ("hours", "aim", "at", "to", "from", "lamp") if k in entry and k != key), None
        )
        return with_key(
            document,
            (*path, key),
            [Text(each) for each in ((times,) if isinstance(times, str) else times)],
            after=behind,
        )

    return Edit(f"set the hours of {_told(fixture)}", change, f"hours {fixture!r} {winter}")


def level(fixture: str | int, share: float) -> Edit:
    """Set a lamp's level, 0 to 1."""

    def change(document: Document) -> Document:
        try:
            number = float(share)
        except (TypeError, ValueError, OverflowError):
            number = float("nan")
        if not isfinite(number):
            msg = "a level is a share from 0 to 100 %"
            raise EditError(msg)
        path = (*part_path(document, "fixtures", fixture), "level")
        old = value_at(document.data, path) if path in document.marks else None
        text = f"{number:.4g}" if isinstance(old, int | float) else f"{100 * number:.4g} %"
        return with_key(document, path, text)

    return Edit(f"set the level of {_told(fixture)}", change, f"level {fixture!r}")


def exchange_lamp(fixture: str | int, lamp: str) -> Edit:
    """Put another lamp in a fixture; readings, burning hours and photometry belong to the old one and go with it."""

    def change(document: Document) -> Document:
        path = part_path(document, "fixtures", fixture)
        document = with_key(document, (*path, "lamp"), Text(str(lamp).strip()), after="name")
        for key in ("evidence", "age", "photometry"):
            if (*path, key) in document.marks:
                document = without(document, (*path, key))
        return document

    return Edit(f"put {lamp} in {_told(fixture)}", change)


def as_entry(value: Any) -> Entry:
    """Return what a page hands over as an entry: numbers, true and false as their text.

    Raises
    ------
    EditError
        If it holds anything else than text, numbers, true, false, lists and keys with values.

    Examples
    --------
    >>> as_entry({"at": ["1 cm", 2], "tether": True})
    {'at': ['1 cm', '2'], 'tether': 'true'}
    """
    return _as_entry(value, 0)


def _as_entry(value: Any, depth: int) -> Entry:
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float) and isfinite(value):
        return repr(value)
    if depth < _DEEPEST and isinstance(value, Mapping):
        return {str(key): _as_entry(inner, depth + 1) for key, inner in value.items()}
    if depth < _DEEPEST and isinstance(value, list | tuple):
        return [_as_entry(inner, depth + 1) for inner in value]
    msg = f"{str(value)[:60]!r} is neither text nor a number, nor lists or keys of such"
    raise EditError(msg)


def _moved(
    document: Document, group: str, part: Any, delta: Sequence[float], point: int | None, *, with_aim: bool
) -> Document:
    path = part_path(document, group, part)
    if _shape_without_place(document, group, path):
        # Without `at` its origin is the box's.
        return with_key(document, (*path, "shape", "at"), new_point(document, delta))
    places = places_of(document, group, path, point, with_aim=with_aim)
    along = [delta[axis] for axis in axes_of(document, group, path)]
    changes: dict[Path, str] = {}
    for place in places:
        changes |= moved(document, place, along)
    document = _all_replaced(document, changes)
    if group == "perches" and point is None and _shape_without_place(document, "shapes", path):
        document = with_key(document, (*path, "shape", "at"), new_point(document, delta))
    return document


def _all_replaced(document: Document, changes: dict[Path, str]) -> Document:
    """Replace what differs; a path over several lines is taken for a value each."""
    new = {path: text for path, text in changes.items() if text != value_at(document.data, path)}
    return replaced_all(document, new) if new else document


def _shape_without_place(document: Document, group: str, path: Path) -> bool:
    shape = (*path, "shape")
    return (
        group == "shapes"
        and isinstance(value_at(document.data, shape) if shape in document.marks else None, dict)
        and (*shape, "at") not in document.marks
    )


def _not_a_shape(group: str) -> None:
    if group == "shapes":
        msg = "a shape belongs to its perch: name the perch"
        raise EditError(msg)


def _free_name(document: Document, name: str) -> str:
    """Return the name with the first number behind it that no part has, however it is spelt."""
    used = set()
    for path in GROUPS.values():
        entries = value_at(document.data, path) if path in document.marks else None
        used |= {slug(n) for entry in (entries if isinstance(entries, list) else []) if (n := name_of(entry))}
    stem = re.sub(r"\s+[0-9]{1,3}$", "", name) or name
    number = 2
    while slug(f"{stem} {number}") in used:
        number += 1
    return f"{stem} {number}"


def _read_with(document: Document, meter: str) -> list[Path]:
    """Return where readings name a meter, spelt in whatever way reads the same."""
    return [
        path
        for path in document.styles
        if path[:1] == ("fixtures",)
        and path[2:3] == ("evidence",)
        and path[-1] == "with"
        and slug(str(value_at(document.data, path))) == slug(meter)
    ]


def _told(part: Any) -> str:
    return str(part)[:60] if not isinstance(part, int) else f"number {part + 1}"


def _where(path: Any) -> str:
    return ".".join(map(str, path))[:80] if isinstance(path, tuple | list) else str(path)[:80]
