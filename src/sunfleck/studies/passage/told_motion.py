"""A motion in numbers, as it is told: how the part is held before the opening, then move by move; and to be replayed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.motion import Motion
from sunfleck.geometry.passage.rotations import angle_between, matrix_of, opposite, product
from sunfleck.geometry.passage.steps import Step, steps_of
from sunfleck.studies.passage.parts import extent_of

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
    top, front : (3,) float
        Which way what comes to lie on top, and what comes to face the front, point before the opening. [-]
    round_about : int or None
        Which of its extents it is round about; None where it is round about none.
    """

    angle: float
    size: Floats
    begin: Floats
    end: Floats
    top: Floats
    front: Floats
    round_about: int | None

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "angle_deg": round(float(np.degrees(self.angle)), 1),
            "long_side": [round(float(x), 3) for x in self.begin[0]],
            "short_side": [round(float(x), 3) for x in self.begin[2]],
            "top": [round(float(x), 3) for x in self.top],
            "front": [round(float(x), 3) for x in self.front],
        }


def told_start(motion: Motion, body: Body) -> ToldStart:
    """How a part is held before the opening.

    Parameters
    ----------
    motion : Motion
        In, in the enclosure's coordinates. [m]
    body : Body
        What moves. [-]

    Returns
    -------
    start : ToldStart
        In numbers.
    """
    low, high = extent_of(body)
    size = high - low
    order = np.argsort(-size, kind="stable")
    first, last = matrix_of(motion.turns[0]), matrix_of(motion.turns[-1])
    step = first @ last.T
    return ToldStart(
        angle=angle_between(motion.turns[0], motion.turns[-1]),
        size=size[order],
        begin=first.T[order],
        end=last.T[order],
        top=step[:, 2],
        front=-step[:, 1],
        round_about=int(np.flatnonzero(order == 2)[0]) if body.circles else None,
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
        One for each step in which it is drawn.
    """
    return tuple(_told(motion, step, size) for step in steps_of(motion))


def _told(motion: Motion, step: Step, size: Floats) -> ToldMove:
    own = None
    if step.angle > 0:
        first, last = motion.turns[step.first], motion.turns[step.last]
        inner = product(opposite(first), last)[1:]
        inner = np.abs(inner) / max(float(np.linalg.norm(inner)), 1e-12)
        along = int(np.argmax(inner))
        if inner[along] > 0.94:
            own = int(np.argsort(-size, kind="stable").tolist().index(along))
    return ToldMove(step.kind, step.shift, step.angle, step.axis, own)


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
