"""The air of a plan: its layers, how much of each is free, and the openings to the room."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.givens import number
from sunfleck.physics.air_layers import Vents
from sunfleck.physics.openings import Loss, gap_loss, hole_loss, level_exchange, mesh_loss
from sunfleck.plan.enclosure import Door, Fan, Vent

Floats = NDArray[np.float64]

# More than twelve layers cost more than they tell: the flow computation they were held against had eight.
FEWEST, MOST = 8, 12
ABOUT = 0.10
# Places at which it is asked whether a layer is free, along x and y.
ASKED = (24, 12)
LEAST_FREE = 0.2
BEHIND_A_GRILLE = 0.5
# Gaps of doors that do not say. Common practice, no source: sliding panes leave 3-6 mm unless they are stripped.
GAPS = {"hinged": 1.5e-3, "sliding": 4e-3, "lift-out": 1.5e-3}


@dataclass(frozen=True)
class AirColumn:
    """Layers of air above the ground, and openings.

    Attributes
    ----------
    edges : (n + 1,) float
        Heights between layers, from the ground up. [m]
    volume : (n,) float
        Free volume of each. [m3]
    floor : float
        Area through which layers meet. [m2]
    vents : Vents
        Openings, heights from the ground up.
    names : tuple of str
        Which door or vent each opening is a piece of.
    """

    edges: Floats
    volume: Floats
    floor: float
    vents: Vents
    names: tuple[str, ...]

    def layer_of(self, height: float) -> int:
        """Layer that a height above the ground is in. [m]"""
        return int(np.clip(np.searchsorted(self.edges, height, side="right") - 1, 0, len(self.volume) - 1))

    def weights_at(self, height: float) -> Floats:
        """Weights of the layers at a height, straight between their middles, (n,). [-]"""
        middles = (self.edges[1:] + self.edges[:-1]) / 2
        found = np.zeros(len(middles))
        place = float(np.clip(np.interp(height, middles, np.arange(len(middles))), 0, len(middles) - 1))
        low = min(int(place), len(middles) - 2)
        found[low], found[low + 1] = 1 - (place - low), place - low
        return found


@dataclass(frozen=True, slots=True)
class _Piece:
    """A piece of an opening, at one height."""

    name: str
    height: float
    area: float
    loss: Loss
    exchange: float = 0.0
    forced: float = 0.0


def air_column(brief: Brief, leak: float = 1.0) -> AirColumn:
    """Cut the air of a plan into layers.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    leak : float, default 1
        How much wider openings are than written. [-]

    Returns
    -------
    column : AirColumn
        From the ground to the top.
    """
    around = brief.surroundings
    low, high = around.inside.low, around.inside.high
    ground = float(around.ground)
    height = float(high[2]) - ground
    count = int(np.clip(round(height / ABOUT), FEWEST, MOST))
    edges = np.linspace(0.0, height, count + 1)
    area = float((high[0] - low[0]) * (high[1] - low[1]))
    free = np.array([_free_share(brief, ground + z) for z in (edges[1:] + edges[:-1]) / 2])
    pieces = [piece for piece in _pieces(brief, edges, ground) if piece.area > 0]
    vents = Vents.of(
        edges,
        [piece.height for piece in pieces],
        [leak * piece.area for piece in pieces],
        tuple(piece.loss for piece in pieces),
        [leak * piece.exchange for piece in pieces],
        [piece.forced for piece in pieces],
    )
    names = tuple(piece.name for piece in pieces)
    volume = area * np.diff(edges) * free
    return AirColumn(edges, volume, area * float(free.mean()), vents, names)


def _free_share(brief: Brief, z: float) -> float:
    low, high = brief.surroundings.inside.low, brief.surroundings.inside.high
    axes = [low[k] + (np.arange(n) + 0.5) / n * (high[k] - low[k]) for k, n in enumerate(ASKED)]
    x, y = (values.ravel() for values in np.meshgrid(*axes))
    solid = brief.surroundings.solid_at(np.stack([x, y, np.full(len(x), z)], axis=1))
    return max(LEAST_FREE, 1.0 - float(solid.mean()))


def _pieces(brief: Brief, edges: Floats, ground: float) -> Iterator[_Piece]:
    enclosure = brief.plan.enclosure
    top = float(edges[-1])
    for vent in enclosure.vents:
        yield from _of_a_vent(brief, vent, edges, ground, top)
    for fan in enclosure.fans:
        yield _of_a_fan(brief, fan, ground, top)
    for door in enclosure.doors:
        yield from _of_a_door(door, edges, ground, top, enclosure.walls.of(door.face).thickness)


def _of_a_vent(brief: Brief, vent: Vent, edges: Floats, ground: float, top: float) -> Iterator[_Piece]:
    mesh = brief.library.meshes[vent.mesh]
    loss = mesh_loss(number(mesh.open_share), number(mesh.wire))
    across, up = vent.size
    if vent.face in ("top", "bottom"):
        height = top if vent.face == "top" else 0.0
        # Warm air below cool air swaps through a top; a bottom opening has the cool air below and does not.
        exchange = level_exchange(across * up, loss.square) if vent.face == "top" else 0.0
        if vent.face == "bottom" and ground > 0:
            return  # under the ground
        yield _Piece(vent.name, height, across * up, loss, exchange)
        return
    yield from _upright(vent.name, vent.at[1], vent.at[1] + up, across, loss, edges, ground)


def _of_a_fan(brief: Brief, fan: Fan, ground: float, top: float) -> _Piece:
    """A fan moves half of what it moves in free air: grille, mesh and gaps stand in its way. Common practice, no source."""
    entry = brief.library.fans[fan.fan]
    side = number(entry.side)
    height = top if fan.face == "top" else 0.0 if fan.face == "bottom" else fan.at[1] + side / 2 - ground
    moves = BEHIND_A_GRILLE * number(entry.flow) * fan.level * (1.0 if fan.blows == "out" else -1.0)
    return _Piece(fan.name, min(max(height, 0.0), top), side**2, hole_loss(), forced=moves)


def _of_a_door(door: Door, edges: Floats, ground: float, top: float, thick: float) -> Iterator[_Piece]:
    gap = GAPS[door.kind] if door.gap is None else door.gap
    if gap <= 0:
        return
    loss = gap_loss(gap, door.thickness or thick)
    across, up = door.size
    if door.face in ("top", "bottom"):
        if door.face == "top":
            area = gap * 2 * (across + up)
            yield _Piece(door.name, top, area, loss)
        return
    low, high = door.at[1], door.at[1] + up
    # A sliding pane runs in grooves above and below and has gaps at its two sides; others have them all round.
    yield from _upright(door.name, low, high, 2 * gap, loss, edges, ground)
    if door.kind != "sliding":
        for z in (low, high):
            if z >= ground:
                yield _Piece(door.name, z - ground, gap * across, loss)


def _upright(
    name: str, low: float, high: float, width: float, loss: Loss, edges: Floats, ground: float
) -> Iterator[_Piece]:
    """An upright opening cut where layers meet: air may enter below and leave above."""
    for k in range(len(edges) - 1):
        under, over = max(low - ground, edges[k]), min(high - ground, edges[k + 1])
        if over > under:
            yield _Piece(name, float(under + over) / 2, float(over - under) * width, loss)
