"""Parts of a plan's document by group and name, and where the lengths stand that say where they are.

Read from the text, not from the checked plan: a plan with problems can be edited too.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from math import isfinite
from typing import Any

from sunfleck.document.compare import value_at
from sunfleck.document.edit import EditError
from sunfleck.document.problem import nearest
from sunfleck.document.reader import Document, Path
from sunfleck.errors import UnitError
from sunfleck.geometry.boxes import FACE_AXES
from sunfleck.units import length_like, parse_quantity

GROUPS: Mapping[str, Path] = {
    **{
        group: (group,)
        for group in (
            "fixtures",
            "perches",
            "ledges",
            "backgrounds",
            "plants",
            "hides",
            "bowls",
            "stations",
            "animals",
            "meters",
        )
    },
    **{group: ("enclosure", group) for group in ("doors", "vents", "fans")},
    # A shape belongs to a perch, and has its place beside the path.
    "shapes": ("perches",),
}
"""Where the parts of each group stand."""

ON_A_FACE = ("doors", "vents", "fans", "backgrounds")
_PLACES = {"plants": ("crown", "middle"), "shapes": ("shape", "at")}
_NEW = {"metric": "1 cm", "us": "1 in"}


def group_path(group: str) -> Path:
    """Return where the parts of a group stand."""
    if not isinstance(group, str) or group not in GROUPS:
        near = nearest(str(group), GROUPS)
        msg = f"a plan has no group {str(group)[:60]!r}; its groups are {', '.join(GROUPS)}"
        raise EditError(msg + (f" (did you mean {near}?)" if near else ""))
    return GROUPS[group]


def part_path(document: Document, group: str, part: str | int) -> Path:
    """Return where a part stands.

    Parameters
    ----------
    document : Document
        The plan's.
    group, part : str, str or int
        The group, and the part's name as written (of an animal without one its species) or its place in the group.

    Returns
    -------
    path : tuple
        Its place in the group last.

    Raises
    ------
    EditError
        If there is none, or several have the name.
    """
    path = group_path(group)
    entries = value_at(document.data, path) if path in document.marks else None
    entries = entries if isinstance(entries, list) else []
    if isinstance(part, int) and not isinstance(part, bool):
        if 0 <= part < len(entries):
            return _with_keys(document, (*path, part))
        msg = f"the plan has {len(entries)} {group}; there is no number {part}, counted from 0"
        raise EditError(msg)
    names = [name_of(entry) for entry in entries]
    found = [k for k, name in enumerate(names) if name is not None and name == str(part).strip()]
    if not found:
        near = nearest(str(part), [name for name in names if name])
        msg = f"no part of {group} is called {str(part)[:60]!r}" + (f"; did you mean {near}?" if near else "")
        raise EditError(msg)
    if len(found) > 1:
        msg = f"{len(found)} parts of {group} are called {str(part)[:60]!r}; give one of them another name first"
        raise EditError(msg)
    return (*path, found[0])


def plain_path(path: Any) -> Path:
    """Return a path as a page hands it over, or say that it is none."""
    if isinstance(path, tuple | list) and all(isinstance(step, str | int) for step in path):
        return tuple(path)
    msg = f"{str(path)[:60]!r} is no path: keys, and places in lists from 0"
    raise EditError(msg)


def name_of(entry: Any) -> str | None:
    """Return what an entry is called; of an animal without a name, its species."""
    if not isinstance(entry, dict):
        return None
    name = entry.get("name", entry.get("species"))
    return str(name).strip() if isinstance(name, str | int | float) else None


def named(document: Document, path: Path) -> str:
    """Return a part's name for a label, or its place in the plan."""
    return name_of(value_at(document.data, path)) or ".".join(map(str, path))


def point_read(document: Document, path: Path) -> tuple[float, ...]:
    """Return a point as written, two or three lengths. [m]

    Raises
    ------
    EditError
        If none can be read there.
    """
    written = value_at(document.data, path) if path in document.marks else None
    if not isinstance(written, list) or len(written) not in (2, 3):
        msg = f"no point stands at {_place(path)}: lengths in brackets, such as [10 cm, 20 cm, 30 cm]"
        raise EditError(msg)
    try:
        return tuple(parse_quantity(str(each), "length") for each in written)
    except UnitError as error:
        msg = f"the point at {_place(path)} cannot be moved: {error}"
        raise EditError(msg) from error


def moved(document: Document, path: Path, delta: Sequence[float]) -> dict[Path, str]:
    """Return the lengths of a point that change when it is moved, by their paths. [m]"""
    changes: dict[Path, str] = {}
    for axis, (old, more) in enumerate(zip(point_read(document, path), delta, strict=False)):
        if more:
            place = (*path, axis)
            changes[place] = length_like(str(value_at(document.data, place)), old + more)
    return changes


def places_of(
    document: Document, group: str, path: Path, point: int | None, *, with_aim: bool
) -> tuple[Path, ...]:
    """Return the points of a part that move with it, that by which it is dragged first.

    Raises
    ------
    EditError
        If it has none, or not the one asked for.
    """
    entry = value_at(document.data, path)
    if group == "fixtures":
        found = tuple(_of_a_lamp(entry, path, point, with_aim=with_aim))
    elif group == "perches":
        found = tuple(_of_a_perch(document, entry, path, point))
    elif point is not None:
        msg = f"{named(document, path)} has one place only; leave `point` out"
        raise EditError(msg)
    else:
        place = _PLACES.get(group, ("at",))
        found = ((*path, *place),) if (*path, *place) in document.marks else ()
    if not found:
        msg = f"{named(document, path)} has no place of its own that could be moved"
        raise EditError(msg)
    return found


def axes_of(document: Document, group: str, path: Path) -> tuple[int, ...]:
    """Return which of x, y, z a part's point states, as 0, 1, 2: two of them where it lies on a face."""
    if group not in ON_A_FACE:
        return (0, 1, 2)
    face = value_at(document.data, path).get("face")
    if not isinstance(face, str) or face not in FACE_AXES:
        msg = f"{named(document, path)} is on no face of the box, so nothing says which way it is to go"
        raise EditError(msg)
    return FACE_AXES[face][2:]


def finite(values: Sequence[float], number: int, what: str) -> tuple[float, ...]:
    """Return numbers as floats, or say what is wrong with them."""
    try:
        read = tuple(float(value) for value in values)
    except (TypeError, ValueError, OverflowError):
        read = ()
    if len(read) != number or not all(isfinite(value) and abs(value) < 1e6 for value in read):
        msg = f"{what} is {number} finite numbers of metres"
        raise EditError(msg)
    return read


def new_point(document: Document, point: Sequence[float]) -> list[str]:
    """Return a point as text in the units the plan is shown in. [m]"""
    system = document.data.get("show_units") if isinstance(document.data, dict) else None
    like = _NEW["us"] if system == "us" else _NEW["metric"]
    return [length_like(like, value) for value in point]


def _with_keys(document: Document, path: Path) -> Path:
    if isinstance(value_at(document.data, path), dict):
        return path
    msg = f"{_place(path)} holds no keys with values; change it in an editor"
    raise EditError(msg)


def _of_a_lamp(entry: dict[str, Any], path: Path, point: int | None, *, with_aim: bool) -> Iterator[Path]:
    ends = [key for key in ("from", "to") if key in entry]
    if point is not None:
        if point not in (0, 1) or len(ends) != 2:
            msg = f"{name_of(entry)} has no end {point}; a tube has 0, its `from`, and 1, its `to`"
            raise EditError(msg)
        yield (*path, ends[point])
        return
    for key in ("at", *ends, *(["aim"] if with_aim else [])):
        if key in entry:
            yield (*path, key)


def _of_a_perch(document: Document, entry: dict[str, Any], path: Path, point: int | None) -> Iterator[Path]:
    points = entry.get("path")
    number = len(points) if isinstance(points, list) else 0
    joint, shape = (*path, "joint", "at"), (*path, "shape", "at")
    if point is None:
        yield from ((*path, "path", k) for k in range(number))
        # What holds the branch, and the shape that is drawn for it, go along with the whole of it.
        yield from (place for place in (joint, shape) if place in document.marks)
        return
    if not isinstance(point, int) or isinstance(point, bool) or not 0 <= point < number:
        msg = f"{name_of(entry)} has {number} points; there is no number {point}, counted from 0"
        raise EditError(msg)
    yield (*path, "path", point)
    if joint in document.marks:
        held, end = point_read(document, joint), point_read(document, (*path, "path", point))
        if len(held) == len(end) and max(abs(a - b) for a, b in zip(held, end, strict=True)) < 1e-6:
            yield joint


def _place(path: Path) -> str:
    return ".".join(map(str, path)) or "the top"
