"""The question itself: does this body go through this opening into its place?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.flood import Proof
from sunfleck.geometry.passage.layers import World
from sunfleck.geometry.passage.motion import Motion, Pose

Verdict = Literal["goes in", "cannot go in", "no way found"]
Reason = Literal["", "no way through", "the final place itself is too small"]


@dataclass(frozen=True, slots=True)
class Effort:
    """How much is tried before the answer is ``no way found``; counts, so that it is the same everywhere.

    Attributes
    ----------
    seeds : tuple of int
        Beginnings of the random search, tried in order. [-]
    tries : int
        Poses tried from each of them, at each step length. [-]
    steps : tuple of float
        Step lengths of the motion, the longest first; half of one is spare room the motion needs. [m]
    divisions : tuple of int
        How finely a quarter of all turns is divided for the proof, coarse first. [-]
    cells : int
        Cells of a proof at most. [-]
    bisections : int
        How often the largest clearance is halved in. [-]
    """

    seeds: tuple[int, ...] = (1, 2, 3)
    tries: int = 20_000
    steps: tuple[float, ...] = (0.008, 0.002)
    divisions: tuple[int, ...] = (16, 32, 64, 128)
    cells: int = 4_000_000
    bisections: int = 6


@dataclass(frozen=True, slots=True)
class Passage:
    """The answer.

    Attributes
    ----------
    verdict : str
        ``goes in`` (with a motion), ``cannot go in`` (with a proof), ``no way found``.
    reason : str
        Of ``cannot go in``: why.
    clearance : float
        What was asked to stay free on every side, along the axes of the opening. [m]
    motion : Motion or None
        From outside to its place; in the world's frame.
    way : str
        Through which of the openings.
    certified : float
        What surely stays free during all of the motion but the last move. [m]
    largest : (float, float)
        The largest clearance with which it goes in lies between these; infinity: not known. [m]
    proof : Proof or None
        What was shown, or how far it was tried.
    method : str
        How the answer was found.
    """

    verdict: Verdict
    reason: Reason
    clearance: float
    motion: Motion | None
    way: str
    certified: float
    largest: tuple[float, float]
    proof: Proof | None
    method: str


def passage_of(body: Body, world: World, goal: Pose, clearance: float, effort: Effort) -> Passage: ...
