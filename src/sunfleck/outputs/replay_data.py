"""A motion as data for replay: one JSON text, written and read here, so that both keep to one format."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any, get_args

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.boxes import Face
from sunfleck.geometry.passage.bodies import SIDES, Body, Skeleton
from sunfleck.geometry.passage.layers import Hinge, Leaf, Opening
from sunfleck.geometry.passage.motion import Motion, Move, MoveKind
from sunfleck.geometry.passage.stage import Stage

Floats = NDArray[np.float64]

SCHEMA = 1
KIND = "sunfleck motion"
# Written into the file, so that it can be replayed by someone who has only the file.
CONVENTIONS = {
    "units": "metres and radians",
    "axes": "enclosure: x to the right, y to the back, z up, as seen from the front; zero in the lower left front corner inside",
    "turn": "unit quaternion w, x, y, z; turns the part's own axes into the enclosure's",
    "place": "where the part's own zero lies, in the enclosure's axes",
    "between": "from one pose to the next the part turns about one axis, the shorter way, at even speed, "
    "while its point `about` (in its own axes) runs straight at even speed",
    "skeleton": "balls (nodes with a radius, 0 for a corner) in the part's own axes; a rod is the hull of two balls",
}
# A turn whose length differs more from 1 is no rotation. [-]
UNIT = 1e-6


@dataclass(frozen=True, slots=True)
class Replay:
    """What a replay needs.

    Attributes
    ----------
    name : str
        Of the part.
    plan : str
        Name of the plan.
    way : str
        Opening it goes through.
    clearance : float
        What surely stays free in all but the docking move, along the opening's axes. [m]
    body : Body
        The part.
    stage : Stage
        The box.
    motion : Motion
        In the enclosure's coordinates. [m]
    """

    name: str
    plan: str
    way: str
    clearance: float
    body: Body
    stage: Stage
    motion: Motion


def replay_data(replay: Replay) -> dict[str, Any]:
    """Return a motion as plain data.

    Parameters
    ----------
    replay : Replay
        What to tell. [-]

    Returns
    -------
    data : dict
        Numbers, words and lists only; every number as it is in memory.
    """
    motion, body, stage = replay.motion, replay.body, replay.stage
    same = body.inner is body.outer or _same(body.inner, body.outer)
    return {
        "kind": KIND,
        "schema": SCHEMA,
        "conventions": CONVENTIONS,
        "plan": replay.plan,
        "part": {
            "name": replay.name,
            "convex": body.convex,
            "half_turns": body.half_turns,
            "circles": body.circles,
            "outer": _skeleton_data(body.outer),
            # What surely belongs to the part, where it is not the same as what surely holds it.
            "inner": None if same else _skeleton_data(body.inner),
        },
        "box": {
            "inside": list(map(float, stage.inside)),
            "face": stage.face,
            "wall": float(stage.wall),
            "openings": [_opening_data(opening) for opening in stage.openings],
            "standing": [
                {
                    "name": stage.names[k] if k < len(stage.names) else "",
                    "low": low.tolist(),
                    "high": high.tolist(),
                }
                for k, (low, high) in enumerate(
                    np.asarray(stage.standing, dtype=np.float64).reshape(-1, 2, 3)
                )
            ],
        },
        "way": replay.way,
        "clearance": float(replay.clearance),
        "motion": {
            "about": motion.about.tolist(),
            "turns": motion.turns.tolist(),
            "places": motion.places.tolist(),
            "moves": [
                {
                    "kind": move.kind,
                    "first": int(move.first),
                    "last": int(move.last),
                    "length": float(move.length),
                    "angle": float(move.angle),
                }
                for move in motion.moves
            ],
        },
    }


def replay_text(replay: Replay) -> str:
    """Return a motion as JSON: the same text for the same motion, a pose a line would not help a person."""
    return json.dumps(replay_data(replay), ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def replay_of(text: str) -> Replay:
    """Read a motion that was written for replay.

    Parameters
    ----------
    text : str
        A whole file. [-]

    Returns
    -------
    replay : Replay
        The same motion, to the last binary digit.

    Raises
    ------
    DomainError
        If it is not such a file, or what it tells is no motion; what was needed is said.
    """
    try:
        data = json.loads(text)
    except (ValueError, RecursionError) as error:
        msg = "this is not JSON; a file for replay is written by `sunfleck passage` with its motion"
        raise DomainError(msg) from error
    if not isinstance(data, dict) or data.get("kind") != KIND:
        msg = f"a file for replay says kind: {KIND!r}; got {_short(data)}"
        raise DomainError(msg)
    if data.get("schema") != SCHEMA:
        msg = f"this program reads replay files of schema {SCHEMA}; got {_short(data.get('schema'))}; write it anew"
        raise DomainError(msg)
    try:
        return _read(data)
    except DomainError:
        raise
    except (KeyError, TypeError, ValueError, OverflowError, AttributeError) as error:
        msg = (
            f"the file for replay lacks something or holds it in another form: {_told(error)}; write it anew"
        )
        raise DomainError(msg) from error


def _read(data: dict[str, Any]) -> Replay:
    part, box, told = data["part"], data["box"], data["motion"]
    outer = _skeleton_of(part["outer"])
    inner = outer if part["inner"] is None else _skeleton_of(part["inner"])
    standing = [[each["low"], each["high"]] for each in box["standing"]]
    stage = Stage(
        inside=tuple(map(float, _numbers(box["inside"], (3,)))),  # type: ignore[arg-type]
        face=_one_of(box["face"], get_args(Face)),
        wall=float(box["wall"]),
        openings=tuple(_opening_of(each) for each in box["openings"]),
        standing=_numbers(standing, (len(standing), 2, 3)),
        names=tuple(str(each["name"]) for each in box["standing"]),
    )
    count = len(told["turns"])
    turns, places = _numbers(told["turns"], (count, 4)), _numbers(told["places"], (count, 3))
    if count < 1 or float(np.abs(np.linalg.norm(turns, axis=1) - 1).max()) > UNIT:
        msg = "a motion needs one pose or more, each with a unit quaternion w, x, y, z"
        raise DomainError(msg)
    moves = tuple(
        Move(
            _one_of(each["kind"], get_args(MoveKind)),
            _row(each["first"], count),
            _row(each["last"], count),
            float(each["length"]),
            float(each["angle"]),
        )
        for each in told["moves"]
    )
    motion = Motion(turns, places, _numbers(told["about"], (3,)), moves)
    circles = int(part.get("circles", 0))
    if circles and not all(len(each.nodes) == circles * SIDES for each in (outer, inner)):
        msg = f"a turned part of {circles} circles needs {circles * SIDES} nodes; got {len(outer.nodes)}"
        raise DomainError(msg)
    body = Body(
        outer, inner, convex=bool(part["convex"]), half_turns=bool(part["half_turns"]), circles=circles
    )
    return Replay(
        str(part["name"]), str(data["plan"]), str(data["way"]), float(data["clearance"]), body, stage, motion
    )


def _skeleton_data(skeleton: Skeleton) -> dict[str, Any]:
    return {
        "nodes": skeleton.nodes.tolist(),
        "radius": skeleton.radius.tolist(),
        "rods": skeleton.rods.tolist(),
    }


def _skeleton_of(data: dict[str, Any]) -> Skeleton:
    count = len(data["nodes"])
    rods = [[_row(a, count), _row(b, count)] for a, b in data["rods"]]
    return Skeleton(
        _numbers(data["nodes"], (count, 3)),
        _numbers(data["radius"], (count,)),
        np.array(rods, dtype=np.int64).reshape(-1, 2),
    )


def _same(first: Skeleton, second: Skeleton) -> bool:
    return all(
        np.array_equal(a, b)
        for a, b in zip(
            (first.nodes, first.radius, first.rods), (second.nodes, second.radius, second.rods), strict=True
        )
    )


def _opening_data(opening: Opening) -> dict[str, Any]:
    leaf = opening.leaf
    return {
        "name": opening.name,
        "at": list(map(float, opening.at)),
        "size": list(map(float, opening.size)),
        "leaf": None
        if leaf is None
        else {"hinge": leaf.hinge, "thickness": float(leaf.thickness), "swing": float(leaf.swing)},
    }


def _opening_of(data: dict[str, Any]) -> Opening:
    leaf = data["leaf"]
    at, size = _numbers(data["at"], (2,)).tolist(), _numbers(data["size"], (2,)).tolist()
    return Opening(
        str(data["name"]),
        (at[0], at[1]),
        (size[0], size[1]),
        None
        if leaf is None
        else Leaf(_one_of(leaf["hinge"], get_args(Hinge)), float(leaf["thickness"]), float(leaf["swing"])),
    )


def _numbers(data: Any, shape: tuple[int, ...]) -> Floats:
    numbers = (
        np.array(data, dtype=np.float64).reshape(shape) if 0 in shape else np.array(data, dtype=np.float64)
    )
    if numbers.shape != shape or not bool(np.isfinite(numbers).all()):
        msg = f"the file for replay needs {' x '.join(map(str, shape))} numbers in one place; got {numbers.shape}"
        raise DomainError(msg)
    return numbers


def _row(value: Any, count: int) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 0 <= value < count:
        msg = f"the file for replay needs a whole number from 0 to {count - 1}; got {_short(value)}"
        raise DomainError(msg)
    return value


def _one_of(value: Any, words: tuple[Any, ...]) -> Any:
    if value not in words:
        msg = f"the file for replay needs one of {', '.join(words)}; got {_short(value)}"
        raise DomainError(msg)
    return value


def _short(value: Any) -> str:
    words = repr(value)
    return words if len(words) <= 60 else words[:57] + "..."


def _told(error: Exception) -> str:
    return f"no {error.args[0]!r}" if isinstance(error, KeyError) and error.args else _short(str(error))
