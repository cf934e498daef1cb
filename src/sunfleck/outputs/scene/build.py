"""From a plan to all that is drawn of it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from sunfleck.brief.build import Brief
from sunfleck.library.loader import Library
from sunfleck.outputs.scene.carcass import openings_of, walls_of
from sunfleck.outputs.scene.furnishing import GROUND_STEP, body_mesh, hide_mesh, station_mesh
from sunfleck.outputs.scene.lamps import lamp_mesh
from sunfleck.outputs.scene.parts import Item, Look, Point, Scene
from sunfleck.outputs.scene.perches import branch_mesh, shaped_mesh
from sunfleck.outputs.scene.plants import leaves_for, plant_mesh
from sunfleck.plan.models import Plan
from sunfleck.plan.read import PlanSource
from sunfleck.plan.shapes import placed
from sunfleck.plan.solids import background_box, bowl_box, chain_of, inside_box, ledge_box, substrate_box

GROUND = "substrate/ground"


def scene_of(plan: PlanSource | Brief) -> Scene:
    """Return all that is drawn of a plan.

    Parameters
    ----------
    plan : PlanSource or Brief
        Checked, or resolved; then with the user's own values of the library.

    Returns
    -------
    scene : Scene
        Box, openings and items, always the same for the same plan. [m]
    """
    source, library = (plan.source, plan.library) if isinstance(plan, Brief) else (plan, plan.library)
    inside = inside_box(source.plan).high
    return Scene(
        name=source.plan.name,
        size=(float(inside[0]), float(inside[1]), float(inside[2])),
        walls=walls_of(source.plan, library),
        openings=tuple(openings_of(source.plan, library)),
        items=tuple(_items(source.plan, library, Path(source.document.file).parent)),
    )


def _items(plan: Plan, library: Library, folder: Path) -> Iterator[Item]:
    if plan.substrate is not None:
        box = substrate_box(plan)
        mesh, edges = body_mesh("ground", box, plan.substrate.finish, GROUND_STEP)
        top = (0.0, 0.0, float(box.high[2]))
        yield Item(GROUND, "ground", "substrate", "ground", mesh, top, movable=False, wires=edges)
    for panel in plan.backgrounds:
        box = background_box(plan, panel)
        mesh, edges = body_mesh(panel.name, box, panel.finish, GROUND_STEP)
        key = f"backgrounds/{panel.name}"
        yield Item(
            key, panel.name, "backgrounds", "background", mesh, _point(box.low), movable=False, wires=edges
        )
    yield from _furniture(plan)
    for perch in plan.perches:
        chain = chain_of(perch)
        if perch.shape is None:
            drawn = branch_mesh(perch.name, chain, perch.wood)
        else:
            drawn = shaped_mesh(perch.name, placed(perch.shape, folder).triangles, chain, perch.wood)
        key = f"perches/{perch.name}"
        start = perch.path[0]
        yield Item(key, perch.name, "perches", "wood", drawn.mesh, start, along=drawn.along, ring=drawn.ring)
    most = leaves_for(len(plan.plants))
    for plant in plan.plants:
        mesh, stems = plant_mesh(plant, most, inside_box(plan))
        key = f"plants/{plant.name}"
        look: Look = "crown" if plant.leaf is None else "leaves"
        yield Item(key, plant.name, "plants", look, mesh, plant.crown.middle, wires=stems)
    for fixture in plan.fixtures:
        lamp = lamp_mesh(fixture, library.lamps[fixture.lamp], plan, library)
        key = f"fixtures/{fixture.name}"
        hung = fixture.at or fixture.from_
        assert hung is not None, "the rules give every lamp a place"
        yield Item(
            key,
            fixture.name,
            "fixtures",
            lamp.look,
            lamp.mesh,
            hung,
            glow=lamp.glow,
            wires=lamp.wires,
            aim=fixture.aim,
        )
    for station in plan.stations:
        key = f"stations/{station.name}"
        yield Item(key, station.name, "stations", "station", station_mesh(station.at), station.at)


def _furniture(plan: Plan) -> Iterator[Item]:
    for ledge in plan.ledges:
        mesh, edges = body_mesh(ledge.name, ledge_box(ledge), ledge.finish)
        yield Item(f"ledges/{ledge.name}", ledge.name, "ledges", "block", mesh, ledge.at, wires=edges)
    for hide in plan.hides:
        mesh, edges = hide_mesh(hide.name, ledge_box(hide), hide.opening)
        yield Item(f"hides/{hide.name}", hide.name, "hides", "hide", mesh, hide.at, wires=edges)
    # A plan with problems is drawn as far as it goes.
    for bowl in (each for each in plan.bowls if each.whole):
        mesh, edges = body_mesh(bowl.name, bowl_box(bowl), "")
        yield Item(f"bowls/{bowl.name}", bowl.name, "bowls", "block", mesh, bowl.at, wires=edges)


def _point(place: np.ndarray) -> Point:
    return (float(place[0]), float(place[1]), float(place[2]))
