"""A motion in numbers, as it is told: how the part is held before the opening, then move by move; and to be replayed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.motion import Motion, Move
from sunfleck.geometry.passage.rotations import angle_between, matrix_of, opposite, product

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class ToldMove:
    """One move of a motion in numbers.

    Attributes
    ----------
    kind : str
        ``push`` (straight through the opening's normal), ``slide``, ``turn``, ``dock``.
    shift : (3,) float
        From where to where the part's middle goes, in the enclosure's coordinates. [m]
    angle : float
        How far it is turned. [rad]
    axis : (3,) float
        About which direction of the enclosure; zero where it is not turned. [-]
    own_axis : int or None
        Which of the part's own edges, the longest 0, lies along that axis for most of the move; None where none does.
    """

    kind: str
    shift: Floats
    angle: float
    axis: Floats
    own_axis: int | None

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "kind": self.kind,
            "shift_m": [round(float(x), 4) for x in self.shift],
            "angle_deg": round(float(np.degrees(self.angle)), 1),
            "axis": [round(float(x), 3) for x in self.axis],
        }


@dataclass(frozen=True, eq=False)
class ToldStart:
    """How a part is held before the opening, against how it stands at its place.

    Attributes
    ----------
    angle : float
        How far it is turned from how it stands at its place. [rad]
    size : (3,) float
        Its own extents, the longest first. [m]
    begin, end : (3, 3) float
        Which way these run in the enclosure, a row each: before the opening, and at its place. [-]
    ends : bool
        Whether it matters which of its ends is where; a block looks the same turned by half.
    """

    angle: float
    size: Floats
    begin: Floats
    end: Floats
    ends: bool

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "angle_deg": round(float(np.degrees(self.angle)), 1),
            "long_side": [round(float(x), 3) for x in self.begin[0]],
            "short_side": [round(float(x), 3) for x in self.begin[2]],
        }


def told_start(motion: Motion, size: Floats, *, half_turns: bool) -> ToldStart:
    """How a part is held before the opening.

    Parameters
    ----------
    motion : Motion
        In, in the enclosure's coordinates. [m]
    size : (3,) float
        The part's extent along its own axes. [m]
    half_turns : bool
        Whether it looks the same turned by half about each of its own axes.

    Returns
    -------
    start : ToldStart
        Of a block the least turn.
    """
    order = np.argsort(-size, kind="stable")
    first, last = motion.turns[0], motion.turns[-1]
    halves = np.eye(4) if half_turns else np.eye(4)[:1]
    angle = min(angle_between(first, product(last, half)) for half in halves)
    return ToldStart(
        angle, size[order], matrix_of(first).T[order], matrix_of(last).T[order], ends=not half_turns
    )


def told_moves(motion: Motion, size: Floats) -> tuple[ToldMove, ...]:
    """The moves of a motion in numbers.

    Parameters
    ----------
    motion : Motion
        In the enclosure's coordinates. [m]
    size : (3,) float
        The part's extent along its own axes. [m]

    Returns
    -------
    moves : tuple of ToldMove
        Moves that hardly move anything are left out.
    """
    middles = np.array([motion.pose(k).place for k in range(len(motion))])
    return tuple(_told(motion, move, middles, size) for move in motion.moves)


def _told(motion: Motion, move: Move, middles: Floats, size: Floats) -> ToldMove:
    first, last = motion.turns[move.first], motion.turns[move.last]
    step = product(last, opposite(first))
    step = step * (1.0 if step[0] >= 0 else -1.0)
    size_of_turn = float(np.linalg.norm(step[1:]))
    axis, own = np.zeros(3), None
    if move.angle > 0 and size_of_turn > 1e-9:
        axis = step[1:] / size_of_turn
        inner = product(opposite(first), last)[1:]
        inner = np.abs(inner) / max(float(np.linalg.norm(inner)), 1e-12)
        along = int(np.argmax(inner))
        if inner[along] > 0.94:
            own = int(np.argsort(-size, kind="stable").tolist().index(along))
    return ToldMove(move.kind, middles[move.last] - middles[move.first], move.angle, axis, own)


def replay_of(motion: Motion) -> dict[str, Any]:
    """A motion as plain data for JSON."""
    return {
        "turns": np.round(motion.turns, 9).tolist(),
        "places_m": np.round(motion.places, 9).tolist(),
        "about_m": np.round(motion.about, 9).tolist(),
        "moves": [
            {"kind": m.kind, "first": m.first, "last": m.last, "length_m": m.length, "angle_rad": m.angle}
            for m in motion.moves
        ],
    }
