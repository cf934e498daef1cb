"""What lies behind each surface: layers that conduct and store heat, and where they end."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Literal

import numpy as np

from sunfleck.brief.givens import number
from sunfleck.brief.surfaces import Part
from sunfleck.library.entries import Material, Pane
from sunfleck.library.loader import Library
from sunfleck.library.values import Sourced
from sunfleck.physics.ground import ground_conductivity, ground_heat
from sunfleck.plan.models import Plan
from sunfleck.plan.solids import chain_of, ledge_box

Behind = Literal["room", "nothing"]

# A layer that resists less is of one temperature. [m2 K W-1]
THIN = 0.01
# Slices of walls and of ground, at most, and the thinnest that a step of 30 s can follow: 0.25 >= a t / d^2.
SLICES, SLICES_OF_GROUND = 3, 6
FOLLOWED = sqrt(30.0 / 0.25)
# Where the library has none: wood, and stone-like furnishing. Common practice, no source.
WOOD = (0.15, 650.0 * 1600.0)
FURNISHING = (0.3, 1.2e6)
AS_DEEP_AS = 0.04
SHELL = 0.01
# Of one square metre of leaf, both sides counted: 0.125 kg of mostly water (from memory). [J m-2 K-1]
OF_LEAVES = 460.0
# Of finishes that are a ground themselves: dry density and water. Others are taken as a humus mix, half wet.
GROUNDS = {"sand-dry": (1600.0, 0.02), "sand-wet": (1600.0, 0.2)}
HUMUS = (200.0, 0.3)
CORE = "pu-foam"


@dataclass(frozen=True, slots=True)
class Layer:
    """One material behind a surface.

    Attributes
    ----------
    name : str
        In a builder's words.
    thickness : float
        Through which heat goes. [m]
    conductivity : float
        Of heat. [W m-1 K-1]
    heat : float
        Stored by volume and degree. [J m-3 K-1]
    """

    name: str
    thickness: float
    conductivity: float
    heat: float


@dataclass(frozen=True, slots=True)
class Backing:
    """What lies behind a surface.

    Attributes
    ----------
    layers : tuple of Layer
        From the surface away.
    behind : str
        ``room`` or ``nothing``, where heat goes no farther.
    assumed : str
        What the plan does not say and was taken; "" where nothing.
    """

    layers: tuple[Layer, ...]
    behind: Behind
    assumed: str = ""

    def nodes(self) -> tuple[list[float], list[float]]:
        """Cut it into nodes: heat capacity of each [J m-2 K-1], and conductance from each to the next [W m-2 K-1]."""
        capacity, onward = [0.0], []
        for k, layer in enumerate(self.layers):
            resists = layer.thickness / layer.conductivity
            whole = layer.thickness * layer.heat
            if resists < THIN and not (k == 0 and len(self.layers) > 1):
                capacity[-1] += whole
                continue
            for slice_ in _slices(layer):
                capacity[-1] += slice_ * layer.heat / 2
                capacity.append(slice_ * layer.heat / 2)
                onward.append(layer.conductivity / slice_)
        return capacity, onward


def _slices(layer: Layer) -> list[float]:
    """Thickness of the slices of a layer: even in a wall, growing downwards in ground. [m]"""
    thinnest = FOLLOWED * sqrt(layer.conductivity / layer.heat)
    if layer.name == "ground":
        count = max(1, min(SLICES_OF_GROUND, int(layer.thickness / thinnest)))
        growth = 1.7 ** np.arange(count)
        slices = layer.thickness * growth / growth.sum()
        return [float(s) for s in slices] if slices[0] >= thinnest else [layer.thickness / count] * count
    count = max(1, min(SLICES, int(layer.thickness / max(thinnest, 0.005))))
    return [layer.thickness / count] * count


def backing_of(plan: Plan, library: Library, part: Part) -> Backing:
    """Say what lies behind a part of a plan.

    Parameters
    ----------
    plan : Plan
        A checked plan.
    library : Library
        With the user's own values in it.
    part : Part
        Whose surface.

    Returns
    -------
    backing : Backing
        Its layers. [m]
    """
    match part.kind:
        case "wall" | "door" | "vent":
            return _of_the_carcass(plan, library, part)
        case "background":
            panel = plan.backgrounds[part.index]
            core = _layer(library, panel.core or CORE, panel.thickness)
            wall = _of_the_carcass(plan, library, Part("wall", 0, panel.face))
            assumed = "" if panel.core else f"{panel.name} is foam under its finish (`core` says otherwise)"
            return Backing((core, *wall.layers), "room", assumed or wall.assumed)
        case "ground":
            return _of_the_ground(plan, library)
        case "perch":
            perch = plan.perches[part.index]
            density = library.woods[perch.wood].density
            dense = number(density) if density is not None else WOOD[1] / 1600.0
            radius = float(np.mean(chain_of(perch).radius))
            return Backing((Layer("wood", radius / 2, WOOD[0], dense * 1600.0),), "nothing")
        case "ledge":
            size = ledge_box(plan.ledges[part.index])
            # Warmed from both sides: each has half of what lies between.
            depth = min(AS_DEEP_AS, float((size.high - size.low).min()) / 2)
            return Backing((Layer("furnishing", depth, *FURNISHING),), "nothing")
        case "hide":
            return Backing((Layer("furnishing", SHELL / 2, *FURNISHING),), "nothing")
        case "plant":
            return Backing((Layer("leaves", 1e-4, 1.0, OF_LEAVES / 1e-4),), "nothing")


def _of_the_carcass(plan: Plan, library: Library, part: Part) -> Backing:
    assert part.face is not None
    wall = plan.enclosure.walls.of(part.face)
    material, thickness = wall.material, wall.thickness
    if part.kind == "door":
        door = plan.enclosure.doors[part.index]
        material, thickness = door.material or material, door.thickness or thickness
    layer = _layer(library, material, thickness)
    entry = _entry(library, material)
    assumed = ""
    if entry.thermal_conductivity is None or entry.specific_heat is None:
        assumed = f"{entry.name.value} conducts and stores heat like plywood"
    return Backing((layer,), "room", assumed)


def _of_the_ground(plan: Plan, library: Library) -> Backing:
    assert plan.substrate is not None
    ground = plan.substrate
    dry, water = GROUNDS.get(ground.finish, HUMUS)
    assumed = (
        f"the ground is of {dry:.0f} kg/m3, dry, and {water:.0%} water (`made_of` and `water` say otherwise)"
    )
    if ground.made_of is not None:
        entry = library.substrates[ground.made_of]
        dry = _middle(entry.dry_density)
        water = _middle(entry.water_capacity) / 2
        assumed = "" if ground.water is not None else "the ground holds half of the water it can hold"
    if ground.water is not None:
        water = ground.water
    layer = Layer(
        "ground", ground.depth, float(ground_conductivity(dry, water)), float(ground_heat(dry, water))
    )
    floor = _of_the_carcass(plan, library, Part("wall", 0, "bottom"))
    return Backing((layer, *floor.layers), "room", assumed)


def _layer(library: Library, material: str, thickness: float) -> Layer:
    entry = _entry(library, material)
    conductivity, heat = entry.thermal_conductivity, entry.specific_heat
    density = number(entry.density) if entry.density is not None else WOOD[1] / 1600.0
    return Layer(
        str(entry.name.value),
        thickness,
        number(conductivity) if conductivity is not None else WOOD[0],
        density * (number(heat) if heat is not None else 1600.0),
    )


def _entry(library: Library, material: str) -> Pane | Material:
    return library.panes[material] if material in library.panes else library.materials[material]


def _middle(sourced: Sourced) -> float:
    value = sourced.value
    assert isinstance(value, tuple)
    return float(sum(value)) / len(value)
