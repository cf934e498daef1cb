"""Lamps as parts that go in and come out again: tubes with pins and caps, reflectors, bars, bulbs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import number
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.geometry.passage.bodies import SIDES, Body, block, turned
from sunfleck.geometry.passage.motion import Pose
from sunfleck.geometry.passage.rotations import matrix_of, quaternion_of, turned_vector
from sunfleck.library.entries import LINE_EMITTERS
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.hanging import depth_of
from sunfleck.plan.solids import inside_box
from sunfleck.studies.passage.hands import hands_for
from sunfleck.studies.passage.parts import Item, extent_of, short_length

Floats = NDArray[np.float64]

# Trade defaults; common practice, no source.
# Pins at each end of a tube, and a rubber cap over its holder. [m]
PIN, CAP = 0.007, 0.03
CAP_LENGTH = 0.03
# No lamp is flatter. [m]
LEAST_DEPTH = 0.01
# A reflector clipped on a tube, or the housing that it is in: width, and how far it reaches behind the tube's middle. [m]
REFLECTOR_WIDTH, REFLECTOR_DEPTH = 0.06, 0.03


def hangs_outside(plan: Plan, fixture: FixtureBrief) -> str:
    """Where a lamp hangs that goes through no door, in words; "" for one in the box."""
    inside = inside_box(plan)
    middle = fixture.axis.mean(axis=0)
    if middle[2] > inside.high[2]:
        return "hangs above the box"
    if bool((middle < inside.low).any() or (middle > inside.high).any()):
        return "hangs outside the box"
    return ""


def lamp_item(fixture: FixtureBrief, inside: Floats, units: str = "metric") -> Item:
    """A lamp in its place; of a tube in a reflector both go in, and the tube alone need come out. `inside` (3,). [m]"""
    lamp, axis = fixture.lamp, fixture.axis
    radius = number(lamp.diameter) / 2
    if str(lamp.emitter.value) not in LINE_EMITTERS:
        return _bulb(fixture, inside, units)
    along = axis[1] - axis[0]
    length = float(np.linalg.norm(along))
    along, middle = along / length, axis.mean(axis=0)
    overall = max(length, number(lamp.length) if lamp.length is not None else 0.0)
    if lamp.emitter.value == "strip":
        turn = _turn_to(along, -fixture.emitter.aim)
        return _hung(fixture, block([2 * radius, 2 * radius, overall]), Pose(turn, middle), ())
    half = overall / 2
    cap = min(CAP_LENGTH, half / 2)
    tube = _hung(
        fixture,
        turned(
            [-half - PIN, -half + cap, -half + cap, half - cap, half - cap, half + PIN],
            [max(CAP / 2, radius)] * 2 + [radius] * 2 + [max(CAP / 2, radius)] * 2,
        ),
        Pose(_turn_to(along, -fixture.emitter.aim), middle),
        (
            f"{short_length(2 * (half + PIN), units)} long with its pins, {short_length(CAP, units)} thick at its caps "
            "(common practice, no source)",
        ),
    )  # fmt: skip
    if lamp.cut_off is None:
        return tube
    # Own axes: z along the tube, y away from where it shines. Close to a wall a narrower reflector is hung.
    turn = tube.goal.turn
    across, behind = (turned_vector(turn, np.eye(3)[axis]) for axis in (0, 1))
    wide = min(REFLECTOR_WIDTH / 2, *(max(radius, _room(middle, side, inside)) for side in (across, -across)))
    deep = min(REFLECTOR_DEPTH, max(radius, _room(middle, behind, inside)))
    low = np.array([-wide, -max(CAP / 2, radius), -half - PIN])
    high = np.array([wide, deep, half + PIN])
    shift = (low + high) / 2
    place = middle + turned_vector(turn, shift)
    body = block(high - low)
    note = (
        f"goes in with its reflector, {short_length(REFLECTOR_WIDTH, units)} wide and {short_length(REFLECTOR_DEPTH, units)} "
        "behind the tube's middle (common practice, no source)"
    )
    whole = _hung(fixture, body, Pose(turn, place), (note, *tube.notes))
    return replace(whole, inner_part=tube)


def _room(point: Floats, way: Floats, inside: Floats) -> float:
    """How far it is from a point to a wall. [m]"""
    with np.errstate(divide="ignore", invalid="ignore"):
        far = np.where(way > 1e-9, (inside - point) / way, np.where(way < -1e-9, -point / way, np.inf))
    return float(far.min())


def _bulb(fixture: FixtureBrief, inside: Floats, units: str) -> Item:
    lamp = fixture.lamp
    radius, usual = number(lamp.diameter) / 2, depth_of(lamp)
    aim = fixture.emitter.aim
    centre = fixture.axis[0]
    # Its depth is an estimate: where it would end in a wall or the lid, the lamp is as deep as there is room.
    rim = radius * np.sqrt(np.maximum(0.0, 1.0 - aim**2)) / np.cos(np.pi / SIDES)
    with np.errstate(divide="ignore", invalid="ignore"):
        room = np.where(
            aim < -1e-9, (inside - rim - centre) / -aim, np.where(aim > 1e-9, (centre - rim) / aim, np.inf)
        )
    depth = max(min(usual, float(room.min())), LEAST_DEPTH)
    body = turned([0.0, depth], [radius, radius])
    turn = _turn_to(-aim, np.array([0.0, 1.0, 0.0]) if abs(aim[1]) < 0.9 else np.array([1.0, 0.0, 0.0]))
    notes = ["its holder counts with a quarter of its width; its cable and what it hangs on are left out"]
    if depth < usual:
        notes.append(
            f"it is taken as {short_length(depth, units)} deep with its holder, not {short_length(usual, units)} as usual: "
            "there the wall begins"
        )
    return _hung(fixture, body, Pose(turn, centre), tuple(notes))


def _hung(fixture: FixtureBrief, body: Body, goal: Pose, notes: tuple[str, ...]) -> Item:
    nodes = body.outer.nodes @ matrix_of(goal.turn).T + goal.place
    own_low, own_high = extent_of(body)
    size = own_high - own_low
    return Item(
        fixture.name,
        fixture.name,
        "fixtures",
        body,
        goal,
        np.array([0.0, 0.0, -1.0]),
        np.array([[nodes.min(axis=0), nodes.max(axis=0)]]),
        size,
        None,
        "the library has no mass of lamps",
        hands_for(size, None),
        service=True,
        notes=notes,
    )


def _turn_to(z: Floats, y: Floats) -> Floats:
    """Unit quaternion whose z axis lies along `z`, and y as near to `y` as that leaves."""
    z = z / np.linalg.norm(z)
    y = y - (y @ z) * z
    y = y / np.linalg.norm(y) if np.linalg.norm(y) > 1e-9 else _across(z)
    return quaternion_of(np.stack([np.cross(y, z), y, z], axis=1))


def _across(z: Floats) -> Floats:
    other = np.eye(3)[int(np.argmin(np.abs(z)))]
    side = np.cross(z, other)
    return np.asarray(side / np.linalg.norm(side))
