"""Cuts for a panel or a board of the plan that does not go in whole: along hidden lines first, each piece with its motion."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.cuts import Cuts, Piece, Proposal, Saw, cuts_for
from sunfleck.geometry.passage.layers import World
from sunfleck.geometry.passage.pieces import Panel, body_of, panel_of
from sunfleck.studies.passage.doors import Entrance
from sunfleck.studies.passage.extents import extent_in
from sunfleck.studies.passage.hands import hands_for
from sunfleck.studies.passage.hidden import hidden_lines
from sunfleck.studies.passage.order import Installation, Moment
from sunfleck.studies.passage.parts import Item
from sunfleck.studies.passage.told_cuts import CutPiece, CutProposal, CutsAsked
from sunfleck.studies.passage.told_motion import told_moves, told_start
from sunfleck.studies.passage.worlds import bare_world, worlds_for

Floats = NDArray[np.float64]

# What is sawn; the rest of a plan is taken as one thing.
SAWN = ("backgrounds", "ledges")
# What is as thick as a third of its width is a block, and not sawn for a door.
FLAT = 1 / 3
# A millimetre more to spare is not worth a cut. [m]
MORE = 1e-3


def is_sawn(group: str, size: Floats) -> bool:
    """Whether a part is a panel or a board, which may be cut."""
    least, second, _ = sorted(float(x) for x in size)
    return group in SAWN and least <= FLAT * second


def cuts_of_part(
    made: Installation, moment: Moment, whole: float = -1.0
) -> tuple[tuple[CutProposal, ...], CutsAsked]:
    """Look for cuts with which a part goes in.

    Parameters
    ----------
    made : Installation
        The plan's parts and doors.
    moment : Moment
        When the part goes in; what stands then stays where it is.
    whole : float
        Clearance with which it goes in uncut, below zero where it does not: cuts that leave no more help nothing. [m]

    Returns
    -------
    proposals : tuple of CutProposal
        The best first.
    asked : CutsAsked
        What was tried.
    """
    item = moment.item
    saw, basis = _saw(made)
    panel = panel_of(_as_cut(item))
    others = [other for other in made.items if other is not item]
    soil = made.plan.substrate.depth if made.plan.substrate is not None else 0.0
    lines = hidden_lines(panel, _room(panel, made.asker.inside), others, soil)
    standing = made.blocks(item, moment.standing)
    ways = pieces = 0
    # A face is one plane of its own: the first through which cuts are found, doors opened as every day first.
    for entrance in (*made.entrances, *made.panes_out):
        worlds = PieceWorlds(made, item, entrance, standing)
        found: Cuts = cuts_for(panel, worlds.with_pieces, made.asker.inside, saw, made.clearance, lines)
        ways, pieces = ways + found.tried, pieces + found.asked
        better = [each for each in found.proposals if each.clearance > whole + MORE]
        if better:
            told = tuple(
                _told(made, item, panel, proposal, saw, basis, entrance, worlds) for proposal in better
            )
            return told, CutsAsked(ways, pieces)
    return (), CutsAsked(ways, pieces)


class PieceWorlds:
    """The box at the moment a part goes in, with some of its pieces standing: for a yes only."""

    def __init__(self, made: Installation, item: Item, entrance: Entrance, standing: Floats) -> None:
        self.plan, self.entrance = made.plan, entrance
        bare = made.asker.bare(entrance)
        extent = extent_in(item.body, item.goal, bare.frame)
        # What stands is widened so that the panel's own place stays free.
        first = next(worlds_for(bare, standing, made.asker.inside, extent))
        self.rows = first.ways[0].layers[len(bare.ways[0].layers) :]

    def with_pieces(self, pieces: Floats) -> World:
        """Return it with some blocks (k, 2, 3) as well. [m]"""
        world = bare_world(self.plan, self.entrance, pieces)
        ways = (replace(way, layers=np.concatenate([way.layers, self.rows])) for way in world.ways)
        return replace(world, ways=tuple(ways))


def standing_at(made: Installation, moment: Moment, *, out: bool = False) -> tuple[Floats, tuple[str, ...]]:
    """Blocks (k, 2, 3) of what stands at a moment, and what each is called; on the way out the soil too. [m]"""
    blocks = [np.zeros((0, 2, 3))]
    names: list[str] = []
    for name in moment.standing:
        each = made.blocks(moment.item, (name,))
        blocks.append(each)
        names += [name] * len(each)
    if out:
        soil = made.blocks(moment.item, (), planted=True)
        blocks.append(soil)
        names += ["the ground"] * len(soil)
    return np.concatenate(blocks), tuple(names)


def _saw(made: Installation) -> tuple[Saw, str]:
    """What a cut takes, and where that comes from."""
    fit, default = made.plan.fit, Saw()
    own = (None, None) if fit is None else (fit.kerf, fit.seam)
    saw = Saw(
        default.kerf if own[0] is None else own[0], default.gap if own[1] is None else own[1], default.edge
    )
    if None not in own:
        return saw, "the plan's"
    if own == (None, None):
        return saw, "common practice, no source"
    return saw, f"{'the gap' if own[1] is None else 'the kerf'}: common practice, no source"


def _as_cut(item: Item) -> Floats:
    """Blocks of a part as it was taken in the question: a board that reaches from wall to wall is shorter than its place."""
    low, high = item.goal.place - item.size / 2, item.goal.place + item.size / 2
    blocks = np.array([np.maximum(item.fills[:, 0], low), np.minimum(item.fills[:, 1], high)])
    return blocks.transpose(1, 0, 2)


def _room(panel: Panel, inside: Floats) -> Floats:
    """Towards the middle of the box, along the panel's normal."""
    axis, (low, high) = panel.normal, panel.bounds
    room = np.zeros(3)
    room[axis] = 1.0 if low[axis] <= inside[axis] - high[axis] else -1.0
    return room


def _told(
    made: Installation,
    item: Item,
    panel: Panel,
    proposal: Proposal,
    saw: Saw,
    basis: str,
    entrance: Entrance,
    worlds: PieceWorlds,
) -> CutProposal:
    volumes = [_volume(piece.boxes) for piece in proposal.pieces]
    whole = _volume(panel.boxes)
    empty = worlds.with_pieces(np.zeros((0, 2, 3)))

    def piece_told(number: int, piece: Piece, volume: float) -> CutPiece:
        how = piece.brought
        body: Body = body_of(piece.boxes)[0]
        mass = None if item.mass is None else item.mass * volume / whole
        return CutPiece(
            name=f"{item.name}, piece {number}",
            boxes=piece.boxes,
            size=piece.size,
            mass=mass,
            hands=hands_for(piece.size, mass),
            certified=how.clearance,
            fingers=made.asker.beside(body, entrance, empty, how.motion, how.way),
            way=how.way,
            motion=how.motion,
            start=told_start(how.motion, body),
            moves=told_moves(how.motion, piece.size),
            method=how.method,
        )

    numbered = enumerate(zip(proposal.pieces, volumes, strict=True), 1)
    return CutProposal(
        kind=proposal.kind,
        pieces=tuple(piece_told(number, piece, volume) for number, (piece, volume) in numbered),
        seams=proposal.seams,
        panel=panel.bounds,
        normal=panel.normal,
        kerf=saw.kerf,
        gap=saw.gap,
        edge=proposal.edge,
        any_order=proposal.any_order,
        anywhere=proposal.anywhere,
        face=entrance.face,
        done=entrance.done,
        basis=basis,
    )


def _volume(boxes: Floats) -> float:
    return float(np.prod(boxes[:, 1] - boxes[:, 0], axis=1).sum())
