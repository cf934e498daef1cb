"""A part as it is drawn: in its box, with what stands there at its moment, and the answer that was given."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.passage.answer import Passage
from sunfleck.geometry.passage.bodies import Body
from sunfleck.geometry.passage.layers import Opening, World
from sunfleck.geometry.passage.pieces import body_of
from sunfleck.geometry.passage.stage import Stage
from sunfleck.studies.passage.cutting import PieceWorlds, standing_at
from sunfleck.studies.passage.doors import Entrance, without_face
from sunfleck.studies.passage.hands import Hands
from sunfleck.studies.passage.order import Installation, Moment
from sunfleck.studies.passage.parts import Item
from sunfleck.studies.passage.told_cuts import CutProposal

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Scene:
    """What drawings, data for replay and templates of one rigid part are made of.

    Attributes
    ----------
    name : str
        Of the part, or of the piece.
    stage : Stage
        The box as a person sees it. [m]
    world : World
        The same in layers; where several ways of taking what stands were tried, the first of them.
    body : Body
        What goes in. [m]
    passage : Passage or None
        The answer; None where only ways past what stands were sought, and none was found.
    done : str
        What must be done first, such as panes lifted out of their rails.
    mass : float or None
        None where it is not known. [kg]
    hands : Hands
        How it is carried.
    """

    name: str
    stage: Stage
    world: World
    body: Body
    passage: Passage | None
    done: str
    mass: float | None
    hands: Hands


def scene_of(made: Installation, moment: Moment, *, out: bool = False) -> Scene:
    """The scene of a part at its moment.

    Parameters
    ----------
    made : Installation
        The plan's parts and doors.
    moment : Moment
        When it goes in, or comes out past everything planted.
    out : bool
        Whether it comes out: the soil stands there too.

    Returns
    -------
    scene : Scene
        Its passage is the way in, whichever way it goes.
    """
    item, answer = moment.item, moment.answer
    entrance = answer.entrance if answer is not None else _usual(made)
    passage = answer.passage if answer is not None else None
    blocks, names = standing_at(made, moment, out=out)
    way = passage.way if passage is not None and passage.motion is not None else ""
    worlds = PieceWorlds(made, item, entrance, blocks)
    return Scene(
        item.name,
        _stage(made, entrance, way, blocks, names),
        worlds.with_pieces(np.zeros((0, 2, 3))),
        item.body,
        passage,
        entrance.done if way else "",
        item.mass,
        item.hands,
    )


def _usual(made: Installation) -> Entrance:
    """The first face with doors; of a box without, the first face that its order puts on later."""
    if made.entrances:
        return made.entrances[0]
    faces = [entry for entry in made.stages[0] if not isinstance(entry, Item)]
    return without_face(made.plan, faces[0])


def scenes_of_cut(made: Installation, moment: Moment, proposal: CutProposal) -> Iterator[Scene]:
    """Yield the scene of each piece, those before it standing in their places."""
    blocks, names = standing_at(made, moment)
    entrance = next(
        each
        for each in (*made.entrances, *made.panes_out)
        if (each.face, each.done) == (proposal.face, proposal.done)
    )
    worlds = PieceWorlds(made, moment.item, entrance, blocks)
    before: list[Floats] = []
    for piece in proposal.pieces:
        standing = np.concatenate([blocks, *before])
        called = (*names, *(f"piece {k}" for k, each in enumerate(before, 1) for _ in each))
        passage = Passage(
            "goes in",
            "",
            made.clearance,
            piece.motion,
            piece.way,
            piece.certified,
            (piece.certified, np.inf),
            None,
            piece.method,
        )
        yield Scene(
            piece.name,
            _stage(made, entrance, piece.way, standing, called),
            worlds.with_pieces(np.concatenate([np.zeros((0, 2, 3)), *before])),
            body_of(piece.boxes)[0],
            passage,
            proposal.done,
            piece.mass,
            piece.hands,
        )
        before.append(piece.boxes)


def _stage(made: Installation, entrance: Entrance, way: str, blocks: Floats, names: tuple[str, ...]) -> Stage:
    inside = tuple(float(x) for x in made.asker.inside)
    assert len(inside) == 3, "a box has three extents"
    return Stage(inside, entrance.face, entrance.wall, _openings(entrance, way), blocks, names)


def _openings(entrance: Entrance, way: str) -> tuple[Opening, ...]:
    """That it goes through, then those beside it; two doors without a post between are one or two, not both."""
    first = next((hole for hole in entrance.holes if hole.name == way), entrance.holes[0])
    found = list(first.openings)
    for hole in entrance.holes:
        if hole is not first and not any(_overlap(one, other) for one in hole.openings for other in found):
            found += hole.openings
    return tuple(found)


def _overlap(one: Opening, other: Opening) -> bool:
    return all(
        one.at[k] < other.at[k] + other.size[k] - 1e-6 and other.at[k] < one.at[k] + one.size[k] - 1e-6
        for k in (0, 1)
    )
