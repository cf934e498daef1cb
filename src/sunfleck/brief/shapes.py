"""The shape of a lamp: its emitter and its body as hung, and what it gives straight below its middle."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import number
from sunfleck.geometry.bvh import build_bvh
from sunfleck.geometry.chains import Chain, any_perpendicular
from sunfleck.library.entries import LINE_EMITTERS, Lamp
from sunfleck.library.values import Sourced
from sunfleck.physics.emitters import (
    DiscEmitter,
    LineEmitter,
    bare_tube_law,
    beam_law,
    cosine_law,
    dome_law,
    reflector_law,
    strip_law,
)
from sunfleck.physics.media import Media
from sunfleck.physics.scene import Scene
from sunfleck.physics.transport import transfer
from sunfleck.plan.beams import Beam
from sunfleck.plan.fixtures import Fixture
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.hanging import depth_of

Emitter = LineEmitter | DiscEmitter

# The width of a tube's reflector is not in the library; the tube stands for both.
BODY_SIDES = 12
DOWN = np.array([0.0, 0.0, -1.0])


def emitter_of(fixture: Fixture, lamp: Lamp, plan: Plan, beam: Beam | None = None) -> Emitter:
    """Return the emitter of a lamp as hung.

    Parameters
    ----------
    fixture : Fixture
        Where it hangs. [m]
    lamp : Lamp
        What it is.
    plan : Plan
        Whose box it is: an upright tube faces the middle.
    beam : Beam, optional
        From a photometric file, in place of the library's.

    Returns
    -------
    emitter : LineEmitter or DiscEmitter
        In the coordinates of the plan. [m]
    """
    if str(lamp.emitter.value) in LINE_EMITTERS:
        start, end = np.array(fixture.from_), np.array(fixture.to)
        return _line(start, end, lamp, _aim_of_line(start, end, fixture.roll or 0.0, plan))
    centre = np.array(fixture.at)
    aim = np.array(fixture.aim) - centre
    return _disc(centre, aim / np.linalg.norm(aim), lamp, beam)


def body_of(axis: NDArray[np.float64], emitter: Emitter, lamp: Lamp) -> NDArray[np.float64]:
    """Return a tube or bar over its whole length, or a bulb or panel from its opening or face back by its depth.

    Parameters
    ----------
    axis : (k, 3) float
        Ends of a line, or the place of a bulb. [m]
    emitter : LineEmitter or DiscEmitter
        Which of the two it is, and which way a bulb points.
    lamp : Lamp
        What it is.

    Returns
    -------
    triangles : (m, 3, 3) float
        Its outside. [m]
    """
    if isinstance(emitter, DiscEmitter):
        axis = np.stack([emitter.centre, emitter.centre - depth_of(lamp) * emitter.aim])
    return Chain(axis, np.full(2, number(lamp.diameter) / 2)).triangles(BODY_SIDES)


def below_the_middle(
    lamp: Lamp, distance: float, between: Media | None = None, beam: Beam | None = None
) -> float:
    """Return the light of a lamp straight below its middle, in the open, per unit of its output.

    Parameters
    ----------
    lamp : Lamp
        What it is.
    distance : float
        From its lowest point. [m]
    between : Media, optional
        What lies in between, in coordinates whose origin is the middle of the lamp; weighted by its
        dependence on angle only. [m]
    beam : Beam, optional
        From a photometric file, in place of the library's.

    Returns
    -------
    geometry : float
        Irradiance on a plane that faces up. [m-2]
    """
    if str(lamp.emitter.value) in LINE_EMITTERS:
        half = number(_known(lamp.length)) / 2
        emitter: Emitter = _line(np.array([-half, 0.0, 0.0]), np.array([half, 0.0, 0.0]), lamp, DOWN)
        lowest = number(lamp.diameter) / 2
    else:
        emitter, lowest = _disc(np.zeros(3), DOWN, lamp, beam), 0.0
    scene = Scene(OPEN.bvh, between) if between is not None else OPEN
    below = np.array([[0.0, 0.0, -lowest - distance]])
    return float(transfer(scene, emitter, below, np.array([[0.0, 0.0, 1.0]])).facing.sum())


def _line(
    start: NDArray[np.float64], end: NDArray[np.float64], lamp: Lamp, aim: NDArray[np.float64]
) -> LineEmitter:
    middle, along = (start + end) / 2, (end - start) / np.linalg.norm(end - start)
    half = number(_known(lamp.glowing_length)) / 2
    if lamp.emitter.value == "strip":
        law = strip_law()
    elif lamp.cut_off is None:
        law = bare_tube_law()
    else:
        law = reflector_law(number(lamp.cut_off))
    return LineEmitter(middle - half * along, middle + half * along, aim, law)


def _disc(
    centre: NDArray[np.float64], aim: NDArray[np.float64], lamp: Lamp, beam: Beam | None
) -> DiscEmitter:
    if beam is not None:
        law = beam.intensity
    elif lamp.emitter.value == "heater":
        law = dome_law()
    elif lamp.emitter.value == "disc":
        law = cosine_law()
    else:
        law = beam_law(number(_known(lamp.beam_angle)), number(_known(lamp.field_angle)))
    return DiscEmitter(centre, aim, number(lamp.diameter) / 2, law)


def _aim_of_line(
    start: NDArray[np.float64], end: NDArray[np.float64], roll: float, plan: Plan
) -> NDArray[np.float64]:
    """Straight down, or for an upright tube towards the middle of the box; then rolled about the axis."""
    axis = (end - start) / np.linalg.norm(end - start)
    aim = DOWN - (DOWN @ axis) * axis
    if np.linalg.norm(aim) < 0.1:
        inside = plan.enclosure.inside
        aim = np.array([inside.width, inside.depth, inside.height]) / 2 - (start + end) / 2
        aim = aim - (aim @ axis) * axis
    if np.linalg.norm(aim) < 1e-6:
        aim = any_perpendicular(axis)
    aim = aim / np.linalg.norm(aim)
    return np.asarray(aim * np.cos(roll) + np.cross(axis, aim) * np.sin(roll))


def _known(value: Sourced | None) -> Sourced:
    assert value is not None, "the loader gives every lamp the fields its kind needs"
    return value


OPEN = Scene(build_bvh(np.zeros((0, 3, 3))), Media.none())
