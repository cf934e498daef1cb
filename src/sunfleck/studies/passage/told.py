"""What is told of one part: verdict, moves in numbers, proof, effort, and what was not looked at."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.answer import Effort, Verdict
from sunfleck.geometry.passage.motion import Motion
from sunfleck.studies.passage.hands import Hands
from sunfleck.studies.passage.standing import ONE_IS_CUT
from sunfleck.studies.passage.told_motion import ToldMove, ToldStart, replay_of

if TYPE_CHECKING:
    # Cuts tell their moves as parts do.
    from sunfleck.studies.passage.told_cuts import CutProposal, CutsAsked

Floats = NDArray[np.float64]

SCHEMA = 1
# Of every answer: what nothing was asked about.
NOT_LOOKED_AT = (
    "weight in the hand, grip and balance: moves are counted and measured, not judged by strength",
    "cables, hoses, hinges, rails and screws that stick out into an opening",
    "whether there is room to stand and turn the part before the box",
)

CAUTIONS = (
    "lift with as many people as it says, more where the mass is not known; gloves for glass and for panes lifted out, "
    "which break at their edges and are toughened or not as the plan does not say",
    "lamps: unplugged and cold before they are moved; wiring is for a licensed electrician",
    "sawing panels and foam: eyes, lungs and hands protected, foam dust swept up before animals and feeders find it",
)


@dataclass(frozen=True, eq=False)
class PartPassage:
    """Whether one part goes in, or comes out again.

    Attributes
    ----------
    name, part, group : str
        What it is called, its name in the plan, and which list it stands in.
    direction : str
        ``in``, or ``out`` past everything planted.
    verdict, reason : str
        ``goes in``, ``cannot go in``, ``no way found``; of the second the reason.
    asked, fingers_asked : float
        Clearance on every side, and room for a hand on one. [m]
    proved_with : float
        Clearance that a proof was made with; 0 where it holds even if the part touches. [m]
    certified : float
        Clearance that surely stays free until it docks. [m]
    fingers : float
        Least room for a hand beside it in the opening; infinity where the opening is a whole face. [m]
    largest : (float, float)
        Between these lies the largest clearance it goes in with; -1: with none that was found. [m]
    face, way, done : str
        Through which face and opening, and what must be done to the doors first.
    standing : tuple of str
        What stands already.
    blocked_by : tuple of str
        Without any one of these it goes in.
    start : ToldStart or None
        How it is held before the opening; None where it comes out.
    moves : tuple of ToldMove
        In order.
    motion : Motion or None
        The same to be replayed, towards its place or, for ``out``, from it.
    size : (3,) float
        Its extent. [m]
    mass, mass_from, hands
        How heavy, how that is known, and how it is carried.
    method : str
        How the answer was found.
    proof : dict or None
        State, cells, and half of the turn across the finest. [-], [deg]
    effort : Effort
        What was tried at most.
    remedies : tuple of str
        What lets it in, tried.
    cuts : tuple of CutProposal
        Cuts that let it in, the best first; looked for when one part is asked about.
    cuts_asked : CutsAsked or None
        What was tried to find them; None where none were looked for.
    notes : tuple of str
        What was fitted or taken for granted.
    """

    name: str
    part: str
    group: str
    direction: str
    verdict: Verdict
    reason: str
    asked: float
    proved_with: float
    fingers_asked: float
    certified: float
    fingers: float
    largest: tuple[float, float]
    face: str
    way: str
    done: str
    standing: tuple[str, ...]
    blocked_by: tuple[str, ...]
    start: ToldStart | None
    moves: tuple[ToldMove, ...]
    motion: Motion | None
    size: Floats
    mass: float | None
    mass_from: str
    hands: Hands
    method: str
    proof: dict[str, Any] | None
    effort: Effort
    remedies: tuple[str, ...] = ()
    cuts: tuple[CutProposal, ...] = ()
    cuts_asked: CutsAsked | None = None
    notes: tuple[str, ...] = ()
    not_looked_at: tuple[str, ...] = field(default=NOT_LOOKED_AT)

    @property
    def goes(self) -> bool:
        """Whether it goes in, or out."""
        return self.verdict == "goes in"

    @property
    def handy(self) -> bool:
        """Whether there is room for a hand beside it."""
        return self.fingers >= self.fingers_asked

    @property
    def within(self) -> str:
        """In what other part its place lies, as drawn; "" where it has a place of its own."""
        return next((note for note in self.notes if note.endswith(ONE_IS_CUT)), "")

    @property
    def exit_code(self) -> int:
        """0 when it goes with room for a hand, 1 when it does not, 3 when no way was found or it has no place of its own."""
        if self.goes and self.within:
            return 3
        if self.goes:
            return 0 if self.handy else 1
        return 1 if self.verdict == "cannot go in" else 3

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON; lengths in metres, infinity as null."""
        return {
            "name": self.name,
            "part": self.part,
            "group": self.group,
            "direction": self.direction,
            "verdict": self.verdict,
            "reason": self.reason,
            "clearance_m": {
                "asked": self.asked,
                "certified": self.certified,
                "largest_from": self.largest[0] if self.largest[0] >= 0 else None,
                "largest_to": finite(self.largest[1]),
            },
            "fingers_m": {"asked": self.fingers_asked, "least": finite(self.fingers)},
            "through": {"face": self.face, "opening": self.way, "first": self.done},
            "standing": list(self.standing),
            "blocked_by": list(self.blocked_by),
            "start": None if self.start is None else self.start.to_dict(),
            "moves": [move.to_dict() for move in self.moves],
            "motion": None if self.motion is None else replay_of(self.motion),
            "size_m": [round(float(x), 4) for x in self.size],
            "mass_kg": self.mass,
            "mass_from": self.mass_from,
            "hands": self.hands.hands,
            "people": self.hands.people,
            "hands_basis": self.hands.basis,
            "method": self.method,
            "proof": self.proof,
            "effort": {
                "steps_m": list(self.effort.steps),
                "seeds": list(self.effort.seeds),
                "tries": self.effort.tries,
                "cells": self.effort.cells,
            },
            "remedies": list(self.remedies),
            "cuts": [cut.to_dict() for cut in self.cuts],
            "cuts_asked": None if self.cuts_asked is None else self.cuts_asked.to_dict(),
            "notes": list(self.notes),
            "cautions": list(CAUTIONS),
            "not_looked_at": list(self.not_looked_at),
        }


def finite(value: float) -> float | None:
    """Infinity as null, which JSON knows."""
    return float(value) if np.isfinite(value) else None
