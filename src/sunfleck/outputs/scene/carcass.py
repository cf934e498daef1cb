"""The box itself: walls as thick as they are, and what is drawn of doors, vents and fans."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import number
from sunfleck.geometry.boxes import FACE_AXES, FACES, TURNED_OUT, Face, part_of_face
from sunfleck.library.loader import Library
from sunfleck.outputs.scene.parts import Mesh, Opening, Wall
from sunfleck.outputs.scene.solids import flat
from sunfleck.outputs.scene.tints import DARK, FINISHES, MATERIAL, MATERIALS, METAL, PANE, broken
from sunfleck.plan.enclosure import Door, Enclosure, Fan, Vent
from sunfleck.plan.models import Plan
from sunfleck.plan.solids import inside_box

Array = NDArray[np.float64]
Kind = Literal["door", "vent", "fan"]
# The frame of a leaf, and of a mesh the threads that are drawn; real ones would be one grey. [m]
FRAME, THREADS = 0.012, 0.034
HANDLE = 0.10
ROUND = 32
DARKER_BELOW = 0.14


def walls_of(plan: Plan, library: Library) -> tuple[Wall, ...]:
    """Return the six walls without their openings."""
    return tuple(_wall(plan, library, face) for face in FACES)


def openings_of(plan: Plan, library: Library) -> Iterator[Opening]:
    """Yield doors, then vents, then fans."""
    enclosure = plan.enclosure
    for door in enclosure.doors:
        material = door.material or enclosure.walls.of(door.face).material
        clear = material in library.panes
        colour = PANE if clear else MATERIALS.get(material, MATERIAL)
        yield _opening(plan, f"doors/{door.name}", door, colour, clear=clear, lines=_leaf(plan, door))
    for vent in enclosure.vents:
        yield _opening(plan, f"vents/{vent.name}", vent, METAL, clear=True, lines=_threads(plan, vent))
    for fan in enclosure.fans:
        side = number(library.fans[fan.fan].side)
        yield _opening(
            plan, f"fans/{fan.name}", fan, DARK, clear=False, lines=_blades(plan, fan, side), side=side
        )


def _wall(plan: Plan, library: Library, face: Face) -> Wall:
    wall, box = plan.enclosure.walls.of(face), inside_box(plan)
    fixed, end, first, second = FACE_AXES[face]
    clear = wall.material in library.panes
    colour = PANE if clear else FINISHES.get(wall.finish or "", MATERIALS.get(wall.material, MATERIAL))
    size = box.high - box.low
    holes = [(part.at, part.size) for part in plan.enclosure.openings if part.face == face]
    us = _cuts(size[first], [(at[0], at[0] + each[0]) for at, each in holes])
    vs = _cuts(size[second], [(at[1], at[1] + each[1]) for at, each in holes])
    solid = np.array(
        [
            [not any(_in(u, v, at, each) for at, each in holes) for v in (np.array(vs[1:]) + vs[:-1]) / 2]
            for u in (np.array(us[1:]) + us[:-1]) / 2
        ]
    )
    place = float((box.low, box.high)[end][fixed])
    out = place + (wall.thickness if end else -wall.thickness)
    # Top and bottom cover the ends of all others, the sides those of front and back.
    grown = _grown(plan.enclosure, face)
    us[0], us[-1], vs[0], vs[-1] = us[0] - grown[0], us[-1] + grown[1], vs[0] - grown[2], vs[-1] + grown[3]
    quads = list(_cells(solid, us, vs, place, out))
    triangles = _in_space(np.array(quads), face)
    mesh = flat(triangles, colour) if quads else _nothing()
    # Light falls off towards the ground.
    height = np.clip(mesh.positions[:, 2] / size[2], 0.0, 1.0)
    mesh = replace(mesh, tints=broken(colour, DARKER_BELOW * (height - 1.0)))
    return Wall(face, wall.thickness, clear, mesh)


def _cells(
    solid: NDArray[np.bool_], us: list[float], vs: list[float], inner: float, outer: float
) -> Iterator[Array]:
    """Quads (4, 3) in u, v and depth: both faces of every cell, and its sides where no cell follows."""
    for i, (u0, u1) in enumerate(pairwise(us)):
        for j, (v0, v1) in enumerate(pairwise(vs)):
            if not solid[i, j]:
                continue
            yield np.array([[u0, v0, outer], [u1, v0, outer], [u1, v1, outer], [u0, v1, outer]])
            yield np.array([[u0, v0, inner], [u0, v1, inner], [u1, v1, inner], [u1, v0, inner]])
            if i == 0 or not solid[i - 1, j]:
                yield np.array([[u0, v0, inner], [u0, v0, outer], [u0, v1, outer], [u0, v1, inner]])
            if i == len(us) - 2 or not solid[i + 1, j]:
                yield np.array([[u1, v0, inner], [u1, v1, inner], [u1, v1, outer], [u1, v0, outer]])
            if j == 0 or not solid[i, j - 1]:
                yield np.array([[u0, v0, inner], [u1, v0, inner], [u1, v0, outer], [u0, v0, outer]])
            if j == len(vs) - 2 or not solid[i, j + 1]:
                yield np.array([[u0, v1, inner], [u0, v1, outer], [u1, v1, outer], [u1, v1, inner]])


def _in_space(quads: Array, face: Face) -> Array:
    fixed, _, first, second = FACE_AXES[face]
    points = np.zeros_like(quads)
    if not len(quads):
        return points.reshape(-1, 3, 3)
    points[..., first], points[..., second], points[..., fixed] = quads[..., 0], quads[..., 1], quads[..., 2]
    if face not in TURNED_OUT:
        points = points[:, ::-1]
    return np.concatenate([points[:, [0, 1, 2]], points[:, [0, 2, 3]]])


def _grown(enclosure: Enclosure, face: Face) -> tuple[float, float, float, float]:
    walls = enclosure.walls
    left, right, front, back = (walls.of(each).thickness for each in ("left", "right", "front", "back"))
    if face in {"top", "bottom"}:
        return left, right, front, back
    return (front, back, 0.0, 0.0) if face in {"left", "right"} else (0.0, 0.0, 0.0, 0.0)


def _opening(
    plan: Plan,
    key: str,
    part: Door | Vent | Fan,
    colour: str,
    *,
    clear: bool,
    lines: Array,
    side: float = 0.0,
) -> Opening:
    kind: Kind = "door" if isinstance(part, Door) else "vent" if isinstance(part, Vent) else "fan"
    corners = _rectangle(plan, part.face, part.at, part.size if not isinstance(part, Fan) else (side, side))
    return Opening(
        key, part.name, kind, part.face, corners.astype(np.float32), clear, colour, lines.astype(np.float32)
    )


def _leaf(plan: Plan, door: Door) -> Array:
    """The rim of a leaf twice, and its handle on the side that moves."""
    (u, v), (w, h) = door.at, door.size
    frame = min(FRAME, w / 4, h / 4)
    middle, half = v + h / 2, min(HANDLE, h / 3) / 2
    lines = [_ring(plan, door.face, door.at, door.size)]
    lines.append(_ring(plan, door.face, (u + frame, v + frame), (w - 2 * frame, h - 2 * frame)))
    inset = 2.2 * frame
    handles = {"left": [u + w - inset], "right": [u + inset], "up": [], "down": []}
    for place in handles.get(door.swing or "", [u + w - inset] if door.kind == "sliding" else []):
        lines.append(_line(plan, door.face, (place, middle - half), (place, middle + half)))
    if door.swing in {"up", "down"} or door.kind == "lift-out":
        height = v + inset if door.swing == "up" else v + h - inset
        lines.append(_line(plan, door.face, (u + w / 2 - half, height), (u + w / 2 + half, height)))
    return np.concatenate(lines)


def _threads(plan: Plan, vent: Vent) -> Array:
    (u, v), (w, h) = vent.at, vent.size
    lines = [_ring(plan, vent.face, vent.at, vent.size)]
    for x in u + w * np.arange(1, max(1, round(w / THREADS))) / max(1, round(w / THREADS)):
        lines.append(_line(plan, vent.face, (x, v), (x, v + h)))
    for y in v + h * np.arange(1, max(1, round(h / THREADS))) / max(1, round(h / THREADS)):
        lines.append(_line(plan, vent.face, (u, y), (u + w, y)))
    return np.concatenate(lines)


def _blades(plan: Plan, fan: Fan, side: float) -> Array:
    middle, radius = np.array(fan.at) + side / 2, 0.45 * side
    turn = np.linspace(0, 2 * np.pi, ROUND + 1)
    ring = middle + radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    lines = [_ring(plan, fan.face, fan.at, (side, side))]
    lines += [_line(plan, fan.face, a, b) for a, b in pairwise(ring)]
    for k in range(5):
        lean = turn[:9] / 4 + k * 2 * np.pi / 5
        reach = np.linspace(0.15, 0.95, 9) * radius
        blade = middle + reach[:, None] * np.stack([np.cos(lean), np.sin(lean)], axis=1)
        lines += [_line(plan, fan.face, a, b) for a, b in pairwise(blade)]
    return np.concatenate(lines)


def _rectangle(plan: Plan, face: Face, at: tuple[float, float], size: tuple[float, float]) -> Array:
    box = inside_box(plan)
    part = part_of_face(box.low, box.high, face, at, size)
    a = part.origin
    return np.array([a, a + part.edge_u, a + part.edge_u + part.edge_v, a + part.edge_v])


def _ring(plan: Plan, face: Face, at: tuple[float, float], size: tuple[float, float]) -> Array:
    corners = _rectangle(plan, face, at, size)
    return np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)


def _line(
    plan: Plan, face: Face, start: tuple[float, float] | Array, end: tuple[float, float] | Array
) -> Array:
    fixed, which, first, second = FACE_AXES[face]
    box = inside_box(plan)
    line = np.zeros((1, 2, 3))
    line[0, :, fixed] = (box.low, box.high)[which][fixed]
    line[0, :, first], line[0, :, second] = (start[0], end[0]), (start[1], end[1])
    return line


def _in(u: float, v: float, at: tuple[float, float], size: tuple[float, float]) -> bool:
    return bool(at[0] < u < at[0] + size[0] and at[1] < v < at[1] + size[1])


def _cuts(extent: float, intervals: list[tuple[float, float]]) -> list[float]:
    ends = {0.0, float(extent)}
    for interval in intervals:
        ends.update(float(min(max(x, 0.0), extent)) for x in interval)
    return sorted(ends)


def _nothing() -> Mesh:
    nothing = np.zeros((0, 3), np.float32)
    return Mesh(nothing, nothing, np.zeros((0, 3), np.uint32), np.zeros((0, 3), np.uint8))
