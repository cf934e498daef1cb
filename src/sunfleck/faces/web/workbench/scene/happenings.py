"""What happens in the picture, as it comes from the browser: checked, or nothing."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import isfinite
from typing import Any, Literal, cast, get_args

from sunfleck.outputs.scene.parts import Axis, Point

CommandName = Literal["delete", "duplicate", "undo", "redo"]


@dataclass(frozen=True, slots=True)
class Picked:
    """An item was chosen, or with None nothing; `additive` with Ctrl held, beside what is chosen already."""

    key: str | None
    additive: bool


@dataclass(frozen=True, slots=True)
class Dragging:
    """An item is being dragged, `delta` (3,) since the drag began; zero when it was put back.

    Answer with ``paint(seq, ...)``: the next one comes then, or after a quarter of a second. [m]
    """

    seq: int
    key: str
    delta: Point


@dataclass(frozen=True, slots=True)
class Dropped:
    """An item was moved by `delta` (3,), by hand or by keys: that much since it was last dropped. [m]

    Everything of it moves, a lamp with the point it is aimed at. Answer with ``show``; until then it is shown moved.
    """

    key: str
    delta: Point


@dataclass(frozen=True, slots=True)
class Aimed:
    """A lamp is pointed at `point` (3,); `done` when it was let go. Answer with ``paint(seq, ...)``. [m]"""

    seq: int
    key: str
    point: Point
    done: bool


@dataclass(frozen=True, slots=True)
class SectionMoved:
    """The section was dragged to a place on its axis. Answer with ``paint(seq, ...)``. [m]"""

    seq: int
    axis: Axis
    place: float
    done: bool


@dataclass(frozen=True, slots=True)
class Probed:
    """The value at a point of a surface, or of the section (`key` None), is asked for. [m]"""

    point: Point
    key: str | None


@dataclass(frozen=True, slots=True)
class MarkPicked:
    """A mark was chosen."""

    id: str


@dataclass(frozen=True, slots=True)
class Command:
    """A key asked for something that the page does; `key` is the chosen item, or None."""

    name: CommandName
    key: str | None


Happening = Picked | Dragging | Dropped | Aimed | SectionMoved | Probed | MarkPicked | Command


def read_happening(name: str, sent: Any) -> Happening | None:
    """Return what an event says.

    Parameters
    ----------
    name : str
        The event's.
    sent : Any
        Its one argument as it came.

    Returns
    -------
    happening : Happening or None
        None where it is malformed.
    """
    if not isinstance(sent, Mapping):
        return None
    try:
        return _READERS[name](sent)
    except (KeyError, TypeError, ValueError, OverflowError):
        return None


def _point(sent: Any) -> Point:
    x, y, z = (_number(each) for each in sent)
    return (x, y, z)


def _number(sent: Any) -> float:
    value = float(sent)
    if not isfinite(value):
        msg = "not a number"
        raise ValueError(msg)
    return value


def _key(sent: Any) -> str | None:
    return None if sent is None else str(sent)


def _axis(sent: Any) -> Axis:
    if sent not in get_args(Axis):
        msg = "no axis"
        raise ValueError(msg)
    return cast(Axis, sent)


def _command(sent: Any) -> CommandName:
    if sent not in get_args(CommandName):
        msg = "no command"
        raise ValueError(msg)
    return cast(CommandName, sent)


_READERS: dict[str, Callable[[Mapping[str, Any]], Happening]] = {
    "picked": lambda e: Picked(_key(e["key"]), bool(e["additive"])),
    "dragging": lambda e: Dragging(int(e["seq"]), str(e["key"]), _point(e["delta"])),
    "dropped": lambda e: Dropped(str(e["key"]), _point(e["delta"])),
    "aimed": lambda e: Aimed(int(e["seq"]), str(e["key"]), _point(e["point"]), bool(e["done"])),
    "section": lambda e: SectionMoved(int(e["seq"]), _axis(e["axis"]), _number(e["place"]), bool(e["done"])),
    "probed": lambda e: Probed(_point(e["point"]), _key(e["key"])),
    "mark": lambda e: MarkPicked(str(e["id"])),
    "command": lambda e: Command(_command(e["name"]), _key(e["key"])),
}
