"""What is told of a way to cut a panel: its pieces, their seams, the order in which they go in, and by which moves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.motion import Motion
from sunfleck.geometry.passage.pieces import CutKind, Seam
from sunfleck.studies.passage.hands import Hands
from sunfleck.studies.passage.told import finite
from sunfleck.studies.passage.told_motion import ToldMove, ToldStart, replay_of

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class CutPiece:
    """One piece of a cut panel.

    Attributes
    ----------
    name : str
        ``back panel, piece 1``; pieces are numbered in the order in which they go in.
    boxes : (k, 2, 3) float
        At its place; kerf and sealing gap are taken off. [m]
    size : (3,) float
        Its extent along the enclosure's axes. [m]
    mass : float or None
        Its share of the part's. [kg]
    hands : Hands
        How it is carried.
    certified, fingers : float
        What surely stays free until it docks, and for a hand beside it in the opening. [m]
    way : str
        Through which opening.
    motion : Motion
        To its place, of the middle of the box round it; to be replayed.
    start : ToldStart
        How it is held before the opening.
    moves : tuple of ToldMove
        The same in numbers.
    method : str
        How it was found.
    """

    name: str
    boxes: Floats
    size: Floats
    mass: float | None
    hands: Hands
    certified: float
    fingers: float
    way: str
    motion: Motion
    start: ToldStart
    moves: tuple[ToldMove, ...]
    method: str

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON; lengths in metres."""
        return {
            "name": self.name,
            "boxes_m": np.round(self.boxes, 4).tolist(),
            "size_m": [round(float(x), 4) for x in self.size],
            "mass_kg": self.mass,
            "hands": self.hands.hands,
            "people": self.hands.people,
            "certified_m": self.certified,
            "fingers_m": finite(self.fingers),
            "opening": self.way,
            "start": self.start.to_dict(),
            "moves": [move.to_dict() for move in self.moves],
            "motion": replay_of(self.motion),
            "method": self.method,
        }


@dataclass(frozen=True, eq=False)
class CutProposal:
    """One way to cut a panel, with which every piece goes in by a certified motion.

    Attributes
    ----------
    kind : str
        ``uncut`` (its edges taken back only), ``one cut``, ``parallel cuts``, ``T``, ``cross``, ``several cuts``.
    pieces : tuple of CutPiece
        In the order in which they go in.
    seams : tuple of Seam
        Where it is cut, in the enclosure's coordinates; with the reason why a seam is not seen. [m]
    panel : (2, 3) float
        Low and high corner of the part as it was ordered. [m]
    normal : int
        Axis it is thin along.
    kerf, gap, edge : float
        What the saw takes, the sealing gap, and what is taken off at edges beside walls. [m]
    any_order : bool
        The pieces may go in in any order.
    anywhere : (float, float) or None
        Of one cut that nothing hides: it works anywhere between these. [m]
    face, done : str
        Through which face, and what must be done to its doors first.
    basis : str
        Where kerf and gap come from.
    """

    kind: CutKind
    pieces: tuple[CutPiece, ...]
    seams: tuple[Seam, ...]
    panel: Floats
    normal: int
    kerf: float
    gap: float
    edge: float
    any_order: bool
    anywhere: tuple[float, float] | None
    face: str
    done: str
    basis: str

    @property
    def seam_length(self) -> float:
        """How much there is to seal, without the edges at the walls. [m]"""
        return float(sum(seam.length for seam in self.seams))

    @property
    def hidden(self) -> bool:
        """Whether no seam is in sight."""
        return all(seam.reason for seam in self.seams)

    @property
    def clearance(self) -> float:
        """What surely stays free of every piece until it docks. [m]"""
        return min(piece.certified for piece in self.pieces)

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON; lengths in metres."""
        return {
            "kind": self.kind,
            "hidden": self.hidden,
            "seams": [
                {
                    "across": "xyz"[seam.axis],
                    "at_m": round(seam.at, 4),
                    "from_edge_m": round(seam.at - float(self.panel[0, seam.axis]), 4),
                    "first_m": round(seam.first, 4),
                    "last_m": round(seam.last, 4),
                    "length_m": round(seam.length, 4),
                    "why_here": seam.reason,
                }
                for seam in self.seams
            ],
            "seam_length_m": round(self.seam_length, 4),
            "kerf_m": self.kerf,
            "gap_m": self.gap,
            "edge_m": self.edge,
            "basis": self.basis,
            "any_order": self.any_order,
            "anywhere_m": None if self.anywhere is None else [round(x, 4) for x in self.anywhere],
            "clearance_m": self.clearance,
            "through": {"face": self.face, "first": self.done},
            "pieces": [piece.to_dict() for piece in self.pieces],
        }


@dataclass(frozen=True, eq=False)
class CutsAsked:
    """What was tried to find cuts: ways to cut, and pieces asked about. None found proves nothing."""

    ways: int
    pieces: int

    def to_dict(self) -> dict[str, int]:
        """Return it as plain data for JSON."""
        return {"ways_to_cut": self.ways, "pieces_asked": self.pieces}
