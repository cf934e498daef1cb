"""Lamps as what they are: a tube with its caps, a bulb in a holder, a dome, a bar, a panel; and their guards.

Length, diameter and depth are the library's and the rules'. The library knows no width of a reflector and no shape
of a holder: those are drawn as such things usually look (common practice, no source), within the depth that the rules
give a lamp.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import number
from sunfleck.brief.media import guard_cage
from sunfleck.brief.shapes import emitter_of
from sunfleck.geometry.boxes import FACE_AXES, FACES
from sunfleck.geometry.chains import any_perpendicular
from sunfleck.library.entries import LINE_EMITTERS, Lamp
from sunfleck.library.loader import Library
from sunfleck.outputs.scene.parts import Floats, Look, Mesh
from sunfleck.outputs.scene.solids import block_edges, cylinder, joined, prism, revolved
from sunfleck.outputs.scene.tints import CERAMIC, COOL, DARK, METAL, PORCELAIN, REFLECTOR, WARM, WHITE
from sunfleck.plan.fixtures import Fixture
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.hanging import depth_of

Array = NDArray[np.float64]
Drawn = tuple[Look, list[Mesh], list[Mesh]]
"""What it is, its body, and what of it glows."""
# Of a guard at most so many bars are drawn across a side.
MOST_BARS = 40
# Half a trough's outline in radii of the tube: across, and back from its axis. Inside and outside.
TROUGH = ((2.3, -0.35), (1.25, 1.35), (0.0, 1.5))
SHEET = 0.18


@dataclass(frozen=True, eq=False)
class LampMesh:
    """A lamp as it is drawn.

    Attributes
    ----------
    look : str
        What it is.
    mesh : Mesh
        Its body.
    glow : Mesh or None
        What gives light.
    wires : (k, 2, 3) float32
        Bars of its guard. [m]
    """

    look: Look
    mesh: Mesh
    glow: Mesh | None
    wires: Floats


def lamp_mesh(fixture: Fixture, lamp: Lamp, plan: Plan, library: Library) -> LampMesh:
    """Return a lamp as hung.

    Parameters
    ----------
    fixture : Fixture
        Where it hangs. [m]
    lamp : Lamp
        What it is.
    plan : Plan
        Whose box it is in.
    library : Library
        For its guard.

    Returns
    -------
    lamp : LampMesh
        Body, what glows, and bars.
    """
    emitter = emitter_of(fixture, lamp, plan)
    points = np.array([p for p in (fixture.from_, fixture.to, fixture.at) if p is not None])
    radius = number(lamp.diameter) / 2
    look, body, glow = _drawn(emitter, lamp, points, radius)
    dark = lamp.dark or not fixture.level
    return LampMesh(
        look,
        joined([*body, *glow]) if dark else joined(body),
        None if dark or not glow else joined(glow),
        _guard(fixture, points, radius, library),
    )


def _drawn(emitter: Any, lamp: Lamp, points: Array, radius: float) -> Drawn:
    kind = str(lamp.emitter.value)
    if kind in LINE_EMITTERS:
        glowing = np.array([emitter.start, emitter.end])
        if kind == "tube":
            return _tube(points, glowing, emitter.aim, radius, lamp)
        return _bar(points, glowing, emitter.aim, radius)
    if kind == "disc":
        return _panel(emitter.centre, emitter.aim, radius, depth_of(lamp), dark=lamp.dark)
    drawn = _dome if kind == "heater" else _bulb
    return drawn(emitter.centre, -emitter.aim, radius, depth_of(lamp))


def _tube(points: Array, glowing: Array, aim: Array, radius: float, lamp: Lamp) -> Drawn:
    start, end = points
    glow = [cylinder(glowing[0], glowing[1], radius, COOL if lamp.uvi_reference.value else WHITE)]
    # Caps are hardly wider than the tube: it lies in holders of its own width.
    body = [
        cylinder(start, glowing[0], 1.08 * radius, METAL),
        cylinder(glowing[1], end, 1.08 * radius, METAL),
    ]
    if lamp.cut_off is not None:
        back, along = -aim / np.linalg.norm(aim), (end - start) / np.linalg.norm(end - start)
        half = radius * np.array(TROUGH)
        outer = np.concatenate([half, half[-2::-1] * (-1, 1)])
        inner = outer[::-1] - (0.0, SHEET * radius)
        # side x back is the way of `along`, so that the outline runs counter-clockwise.
        outline = np.concatenate([outer, inner])
        body.append(prism(outline, start, end - start, np.cross(back, along), back, REFLECTOR))
    return "tube", body, glow


def _bar(points: Array, glowing: Array, aim: Array, radius: float) -> Drawn:
    start, end = points
    back, length = -aim / np.linalg.norm(aim), end - start
    side = np.cross(back, length / np.linalg.norm(length))
    housing = radius * np.array([[1, -0.2], [1, 0.5], [0.6, 0.95], [-0.6, 0.95], [-1, 0.5], [-1, -0.2]])
    face = radius * np.array([[0.8, -0.45], [0.8, -0.2], [-0.8, -0.2], [-0.8, -0.45]])
    body = prism(housing, start, length, side, back, METAL)
    return "bar", [body], [prism(face, glowing[0], glowing[1] - glowing[0], side, back, WHITE)]


def _bulb(centre: Array, back: Array, radius: float, depth: float) -> Drawn:
    """A reflector bulb up to its neck, and the holder that grips it there."""
    neck, grip = 0.30 * radius, 0.40 * radius
    t = np.linspace(0.0, 1.0, 9)
    bowl = [(depth * (0.04 + 0.50 * s), neck + (radius - neck) * (1 - s**1.7)) for s in t]
    rim = [(0.0, 0.93 * radius), (0.015 * depth, 0.985 * radius), (0.04 * depth, radius)]
    throat = [(0.54 * depth, neck), (0.62 * depth, neck), (0.62 * depth, 0.0)]
    face = [(0.02 * depth, 0.0), (0.0, 0.93 * radius)]
    behind = [(0.10 * depth, 0.0), (0.05 * depth, 0.86 * radius), (0.0, 0.93 * radius)]
    bulb = revolved(_backwards([behind, rim, bowl, throat[:2], throat[1:]]), centre, back, REFLECTOR, 28)
    hold = [
        [(0.60 * depth, 0.0), (0.60 * depth, grip)],
        [
            (0.60 * depth, grip),
            (0.88 * depth, 1.02 * grip),
            (0.95 * depth, 0.9 * grip),
            (0.985 * depth, 0.6 * grip),
        ],
        [(0.985 * depth, 0.6 * grip), (depth, 0.0)],
    ]
    holder = revolved(_backwards(hold), centre, back, PORCELAIN, 24)
    return "bulb", [bulb, holder], [revolved(_backwards([face]), centre, back, WARM, 28)]


def _dome(centre: Array, back: Array, radius: float, depth: float) -> Drawn:
    """A ceramic dome with rings, and its holder."""
    steps = [(0.0, 0.0), (0.0, 0.45), (0.06, 0.45), (0.06, 0.72), (0.13, 0.72), (0.13, 0.9), (0.22, 1.0)]
    rings = [(depth * s, radius * r) for s, r in steps]
    shell = [
        (depth * s, radius * r) for s, r in ((0.22, 1.0), (0.34, 0.98), (0.5, 0.72), (0.6, 0.4), (0.64, 0.3))
    ]
    flats = [list(pair) for pair in pairwise(rings)]
    closing = [(0.64 * depth, 0.3 * radius), (0.64 * depth, 0.0)]
    dome = revolved(_backwards([*flats, shell, closing]), centre, back, CERAMIC, 28)
    grip = 0.40 * radius
    hold = [
        [(0.60 * depth, 0.0), (0.60 * depth, grip)],
        [(0.60 * depth, grip), (0.9 * depth, grip), (depth, 0.7 * grip)],
        [(depth, 0.7 * grip), (depth, 0.0)],
    ]
    return "dome", [dome, revolved(_backwards(hold), centre, back, PORCELAIN, 24)], []


def _panel(centre: Array, aim: Array, radius: float, depth: float, *, dark: bool) -> Drawn:
    """A square of the same area as the face that the library has."""
    half = radius * np.sqrt(np.pi) / 2
    side = any_perpendicular(aim)
    up = np.cross(aim, side)
    square = half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    lit = 0.08 * depth
    slab = prism(square, centre - depth * aim, (depth - lit) * aim, side, up, DARK if dark else METAL)
    face = prism(0.94 * square, centre - lit * aim, lit * aim, side, up, DARK if dark else WHITE)
    return "panel", [slab], [face]


def _backwards(pieces: list[list[tuple[float, float]]]) -> list[list[tuple[float, float]]]:
    """A profile from the far end of its axis: so its surface faces outwards."""
    return [piece[::-1] for piece in pieces[::-1]]


def _guard(fixture: Fixture, points: Array, radius: float, library: Library) -> Floats:
    if fixture.guard is None:
        return np.zeros((0, 2, 3), np.float32)
    guard = library.guards[fixture.guard]
    cage = guard_cage(points, radius, number(guard.stand_off))
    size = cage.high - cage.low
    longest = int(np.argmax(size))
    lines = [block_edges(cage.low, cage.high).astype(np.float64)]
    for face in FACES:
        fixed, end, first, second = FACE_AXES[face]
        # Bars run across the longest way of the cage, cross bars along it.
        across, along = (first, second) if second == longest else (second, first)
        for way, other, pitch in ((across, along, guard.pitch_u), (along, across, guard.pitch_v)):
            count = int(min(MOST_BARS, max(1, round(size[other] / number(pitch)))))
            places = cage.low[other] + size[other] * np.arange(1, count) / count
            bars = np.zeros((len(places), 2, 3))
            bars[:, :, fixed] = (cage.low, cage.high)[end][fixed]
            bars[:, 0, way], bars[:, 1, way] = cage.low[way], cage.high[way]
            bars[:, :, other] = places[:, None]
            lines.append(bars)
    return np.concatenate(lines).astype(np.float32)
