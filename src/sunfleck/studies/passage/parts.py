"""A part that goes in: its body, its place, and how it is carried."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.chains import Chain
from sunfleck.geometry.passage.bodies import Body, Skeleton
from sunfleck.geometry.passage.motion import Pose
from sunfleck.studies.passage.hands import Hands
from sunfleck.units import format_quantity

Floats = NDArray[np.float64]

# A branch that reaches within this of a wall or panel is held by it, and is cut to fit there: the plan's own rule. [m]
HELD = 0.02


@dataclass(frozen=True, eq=False)
class Item:
    """A part that goes in.

    Attributes
    ----------
    name : str
        What it is called on the screen.
    part, group : str
        Its name in the plan, and in which list it stands.
    body : Body
        Its shape. [m]
    goal : Pose
        Its place.
    leaves : (3,) float
        The way it comes off its place: out of the wall, up, down. [-]
    fills : (k, 2, 3) float
        Blocks round it once it stands. [m]
    size : (3,) float
        Extent in its place. [m]
    mass : float or None
        None where its material is not in the plan. [kg]
    mass_from : str
        How the mass is known, or why it is not.
    hands : Hands
        How it is carried.
    service : bool
        It must come out again when everything is planted.
    inner_part : Item or None
        What of it comes out for service, if that is less than went in.
    chain : Chain or None
        Of a branch without a file of its own, its axis before it is cut. [m]
    notes : tuple of str
        What was taken for granted.
    """

    name: str
    part: str
    group: str
    body: Body
    goal: Pose
    leaves: Floats
    fills: Floats
    size: Floats
    mass: float | None
    mass_from: str
    hands: Hands
    service: bool = False
    inner_part: Item | None = None
    chain: Chain | None = None
    notes: tuple[str, ...] = ()


def short_length(length: float, units: str) -> str:
    """A length of a joint or a cut in the plan's units: ``14 mm``, ``0.55 in``."""
    return format_quantity(length, "length", "us", 2) if units == "us" else f"{1000 * length:.0f} mm"


def extent_of(body: Body) -> tuple[Floats, Floats]:
    """Low and high corner of the box round a body, in its own axes. [m]"""
    outer: Skeleton = body.outer
    reach = outer.radius[:, None]
    return (outer.nodes - reach).min(axis=0), (outer.nodes + reach).max(axis=0)
