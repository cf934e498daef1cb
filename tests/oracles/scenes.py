"""Scenes of triangles for tests: clouds, branches and leaves. Everything is drawn from a seed."""

from dataclasses import dataclass
from math import radians

import numpy as np

from sunfleck.physics.emitters import (
    DiscEmitter,
    LineEmitter,
    bare_tube_law,
    beam_law,
    dome_law,
    reflector_law,
)
from sunfleck.physics.media import Media


def cloud(rng, count, low=(0.0, 0.0, 0.0), high=(1.0, 1.0, 1.0), size=0.2):
    """Random triangles with corners up to `size` around random places, (count, 3, 3)."""
    centre = rng.uniform(low, high, (count, 1, 3))
    return centre + rng.uniform(-size, size, (count, 3, 3))


def rectangle(origin, edge_u, edge_v):
    """Two triangles that cover a rectangle."""
    origin, edge_u, edge_v = (np.asarray(x, float) for x in (origin, edge_u, edge_v))
    a, b, c, d = origin, origin + edge_u, origin + edge_u + edge_v, origin + edge_v
    return np.array([[a, b, c], [a, c, d]])


def branch(start, end, radius, sides=12, rings=10):
    """An open tube of triangles from start to end."""
    start, end = np.asarray(start, float), np.asarray(end, float)
    axis = (end - start) / np.linalg.norm(end - start)
    helper = np.eye(3)[np.argmin(np.abs(axis))]
    u = np.cross(axis, helper)
    u /= np.linalg.norm(u)
    v = np.cross(axis, u)
    angle = 2 * np.pi * np.arange(sides + 1) / sides
    circle = radius * (np.cos(angle)[:, None] * u + np.sin(angle)[:, None] * v)
    place = start + np.linspace(0, 1, rings + 1)[:, None] * (end - start)
    grid = place[:, None] + circle[None]
    a, b, c, d = grid[:-1, :-1], grid[:-1, 1:], grid[1:, 1:], grid[1:, :-1]
    return np.concatenate([np.stack(t, axis=-2).reshape(-1, 3, 3) for t in ((a, b, c), (a, c, d))])


def leaves(rng, count, low, high):
    """Small quads of two triangles, at random places and turns."""
    centre = rng.uniform(low, high, (count, 3))
    long = rng.normal(size=(count, 3))
    long /= np.linalg.norm(long, axis=1, keepdims=True)
    wide = np.cross(long, rng.normal(size=(count, 3)))
    wide /= np.linalg.norm(wide, axis=1, keepdims=True)
    long *= rng.uniform(0.02, 0.06, (count, 1))
    wide *= rng.uniform(0.01, 0.025, (count, 1))
    a, b, c, d = centre - long, centre + wide, centre + long, centre - wide
    return np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)])


def furnished(rng, branches=6, leaf_count=1800):
    """Branches among leaves in a box of 1.5 x 0.75 x 1.5 m, about 240 triangles a branch."""
    parts = []
    for _ in range(branches):
        start = rng.uniform([0.1, 0.1, 0.2], [0.6, 0.6, 0.9])
        end = np.clip(start + rng.uniform([0.3, -0.2, -0.2], [0.8, 0.3, 0.3]), 0.05, [1.45, 0.7, 1.1])
        parts.append(branch(start, end, rng.uniform(0.012, 0.04)))
    parts.append(leaves(rng, leaf_count, [0.1, 0.1, 0.1], [1.4, 0.65, 1.0]))
    return np.concatenate(parts)


def hits(triangles, origins, ends):
    """Whether each way meets each triangle, (r, m), by volumes of tetrahedra: no tree, no tolerance."""
    a, b, c = (triangles[None, :, k] for k in range(3))
    o, e = origins[:, None], ends[:, None]
    volume = lambda p, q, r, s: np.einsum("...k,...k", np.cross(q - p, r - p), s - p)  # noqa: E731
    apart = volume(a, b, c, o) * volume(a, b, c, e) < 0
    one, two, three = volume(o, e, a, b), volume(o, e, b, c), volume(o, e, c, a)
    return apart & (((one > 0) & (two > 0) & (three > 0)) | ((one < 0) & (two < 0) & (three < 0)))


def distance_to_triangles(triangles, points):
    """Distance of each point from the nearest triangle, (n,)."""
    best = np.full(len(points), np.inf)
    for t in triangles:
        best = np.minimum(best, _distance(t, points))
    return best


def _distance(t, points):
    """Distance from one triangle: inside its prism to the plane, else to the nearest edge."""
    normal = np.cross(t[1] - t[0], t[2] - t[0])
    normal /= np.linalg.norm(normal)
    inside = np.ones(len(points), bool)
    to_edges = np.full(len(points), np.inf)
    for k in range(3):
        p, q = t[k], t[(k + 1) % 3]
        along = q - p
        inside &= (points - p) @ np.cross(normal, along) >= 0
        share = np.clip((points - p) @ along / (along @ along), 0, 1)
        to_edges = np.minimum(to_edges, np.linalg.norm(points - p - share[:, None] * along, axis=1))
    return np.where(inside, np.abs((points - t[0]) @ normal), to_edges)


def unit_normals(rng, count):
    """Random directions."""
    n = rng.normal(size=(count, 3))
    return n / np.linalg.norm(n, axis=1, keepdims=True)


@dataclass(frozen=True)
class Part:
    """Triangles of one finish.

    `sides` as in ``geometry.patches``: "front" (only that side belongs to the scene), "both" or "leaf" (what
    falls on it leaves both sides alike).
    """

    triangles: np.ndarray  # (m, 3, 3) [m]
    reflectance: float  # of leaves: what is reflected and let through, together
    sides: str = "front"


@dataclass(frozen=True)
class Given:
    """A scene in which two engines are compared: what is in it, its lamps of one watt each, its receivers."""

    parts: tuple[Part, ...]
    media: Media
    emitters: tuple
    points: np.ndarray  # (n, 3), at least `CLEAR` off every surface [m]
    normals: np.ndarray
    seed: int

    @property
    def triangles(self):
        """All that is opaque, (m, 3, 3)."""
        return np.concatenate([part.triangles for part in self.parts])

    @property
    def transmittance(self):
        """What each group of media lets through squarely: the laws are relative to it. By group."""
        squarely = {}
        for group, law, (first, second) in zip(
            self.media.group, self.media.law, self.media.parameters, strict=True
        ):
            # Open area of a mesh; a clear pane that absorbs nothing, with all reflections between its faces.
            squarely[int(group)] = (1 - first) * (1 - second) if law == 1 else 2 * first / (first**2 + 1)
        return squarely


# Receivers lie at least so far off surfaces, and so far off what glows: envelopes are surfaces too. [m]
CLEAR, CLEAR_OF_LAMPS = 0.004, 0.03
SIX_SCENES = ("open", "leafy", "slats", "pane", "mesh", "box")
LOW, HIGH = np.array([0.0, 0.0, 0.0]), np.array([0.9, 0.5, 0.7])


def given_scene(name, seed, count=2300):
    """One of the six scenes, with up to `count` receivers anywhere in it that face anywhere."""
    rng = np.random.default_rng(seed)
    parts, media, emitters, branches = {
        "open": _open, "leafy": _leafy, "slats": _slats, "pane": _pane, "mesh": _mesh, "box": _box,
    }[name](rng)  # fmt: skip
    points = rng.uniform(LOW, HIGH, (count, 3))
    surfaces = [part.triangles for part in parts] + [
        rectangle(*corner) for corner in zip(media.origin, media.edge_u, media.edge_v, strict=True)
    ]
    points = points[distance_to_triangles(np.concatenate(surfaces), points) >= CLEAR]
    for emitter in emitters:
        points = points[distance_to_emitter(emitter, points) >= CLEAR_OF_LAMPS]
        if isinstance(emitter, DiscEmitter):
            # In its plane the places of a disc that Radiance is given hide each other.
            points = points[np.abs((points - emitter.centre) @ emitter.aim) >= CLEAR]
    for start, end, radius in branches:
        points = points[_distance_to_line(start, end, points) > radius]
    return Given(tuple(parts), media, tuple(emitters), points, unit_normals(rng, len(points)), seed)


def distance_to_emitter(emitter, points):
    """Distance from a line, or from the middle of a disc less its radius, (n,)."""
    if isinstance(emitter, DiscEmitter):
        return np.linalg.norm(points - emitter.centre, axis=1) - emitter.radius
    return _distance_to_line(emitter.start, emitter.end, points)


def _distance_to_line(start, end, points):
    along = end - start
    share = np.clip((points - start) @ along / (along @ along), 0, 1)
    return np.linalg.norm(points - start - share[:, None] * along, axis=1)


def room(without=(), low=LOW, high=HIGH):
    """Walls of a box with their normals inwards; faces in `without` are left open."""
    (x, y, z), origin = np.diag(high - low), np.asarray(low)
    faces = {
        "bottom": (origin, x, y), "top": (origin + z, y, x),
        "front": (origin, z, x), "back": (origin + y, x, z),
        "left": (origin, y, z), "right": (origin + x, z, y),
    }  # fmt: skip
    return np.concatenate([rectangle(*face) for side, face in faces.items() if side not in without])


def tube(height, law, y=0.22):
    """A tube 60 cm long across the box."""
    return LineEmitter([0.15, y, height], [0.75, y + 0.02, height], [0, 0.1, -1], law)


def spot(height):
    """A spot of 50 mm opening, 25 degrees of beam, slanting."""
    return DiscEmitter([0.6, 0.25, height], [-0.2, 0.05, -1], 0.025, beam_law(radians(25), radians(50)))


def heater(height):
    """A glowing dome of 60 mm."""
    return DiscEmitter([0.3, 0.3, height], [0.1, 0, -1], 0.03, dome_law())


def _open(rng):
    floor = Part(room(("top", "front", "back", "left", "right")), 0.5)
    return [floor], Media.none(), [tube(0.8, bare_tube_law()), spot(0.8)], []


def _leafy(rng):
    # From outside of one wall to outside of the other, so that nobody looks into them.
    branches = [
        (start, start + rng.uniform([0.98, -0.15, -0.1], [1.0, 0.15, 0.1]), rng.uniform(0.008, 0.02))
        for start in rng.uniform([-0.05, 0.18, 0.15], [-0.04, 0.32, 0.4], (4, 3))
    ]
    foliage = leaves(rng, 260, [0.08, 0.08, 0.08], [0.82, 0.42, 0.5])
    parts = [Part(room(), 0.4), *(Part(branch(*b), 0.25) for b in branches), Part(foliage, 0.3, "leaf")]
    return parts, Media.none(), [tube(0.66, reflector_law(radians(80))), spot(0.65)], branches


def _slats(rng):
    wide, pitch = 0.022, 0.035
    slats = [rectangle([0.03 + pitch * k, 0.02, 0.42], [wide, 0, 0.012], [0, 0.46, 0]) for k in range(24)]
    parts = [Part(room(), 0.5), Part(np.concatenate(slats), 0.6, "both")]
    return parts, Media.none(), [tube(0.66, reflector_law(radians(85))), spot(0.65)], []


def _pane(rng):
    lid = Media([[0, 0, 0.7]], [[0.9, 0, 0]], [[0, 0.5, 0]], [0], [2], [[1.52, 0]])
    return [Part(room(("top",)), 0.5)], lid, [tube(0.78, reflector_law(radians(80))), spot(0.8)], []


def _mesh(rng):
    lid = Media([[0, 0, 0.7]], [[0.9, 0, 0]], [[0, 0.5, 0]], [0], [1], [[0.2, 0.25]])
    return [Part(room(("top",)), 0.5)], lid, [tube(0.78, reflector_law(radians(80))), heater(0.8)], []


def _box(rng):
    perch = (np.array([-0.05, 0.15, 0.25]), np.array([0.95, 0.35, 0.35]), 0.02)
    parts = [Part(room(), 0.8), Part(branch(*perch), 0.8)]
    return parts, Media.none(), [tube(0.62, bare_tube_law()), heater(0.6)], [perch]


# Six things that throw a half shadow, below a lamp 1 m above the origin. What the receivers are drawn from:
# half widths along the thing and across it, lowest and highest place. [m]
HALF_SHADOWS = {
    "twig": (0.08, 0.025, 0.25, 0.58),
    "gap": (0.08, 0.012, 0.30, 0.49),
    "slats": (0.10, 0.10, 0.20, 0.55),
    "leaves": (0.10, 0.10, 0.10, 0.70),
    "guard": (0.10, 0.10, 0.20, 0.55),
    "branch": (0.10, 0.10, 0.30, 0.85),
}
# Bars of the guard: thickness, pitch, height; those along x lie below, those along y right above. [m]
BAR, BAR_PITCH, BAR_HEIGHT = 0.002, 0.0125, 0.95


def half_shadow(name, seed, count):
    """Triangles of one of `HALF_SHADOWS`, and receivers below it that face upwards, more or less."""
    rng = np.random.default_rng(seed)
    triangles, turn = {
        "twig": _twig, "gap": _gap, "slats": _blind, "leaves": _cloud_of_leaves, "guard": _guard, "branch": _near_branch,
    }[name](rng)  # fmt: skip
    along, across, low, high = HALF_SHADOWS[name]
    points = rng.uniform([-along, -across, low], [along, across, high], (count, 3)) @ _turned(turn)
    points = points[distance_to_triangles(triangles, points) >= CLEAR]
    normals = unit_normals(rng, len(points))
    normals[:, 2] = np.abs(normals[:, 2]) + 0.3
    return triangles, points, normals / np.linalg.norm(normals, axis=1, keepdims=True)


def _turned(angle):
    return np.array([[np.cos(angle), np.sin(angle), 0], [-np.sin(angle), np.cos(angle), 0], [0, 0, 1]])


def _twig(rng):
    """6 mm thick, 40 cm below the lamp."""
    return branch([-0.25, -0.12, 0.6], [0.25, 0.13, 0.62], 0.003), np.arctan(0.5)


def _gap(rng):
    """2 mm between two plates, 50 cm below the lamp, askew to everything."""
    plates = [
        rectangle([-0.5, y, 0.5], [1.0, 0, 0.02], [0, 0.499, 0] if y < 0 else [0, 0.5, 0])
        for y in (-0.5, 0.001)
    ]
    return np.concatenate(plates) @ _turned(radians(25)), radians(25)


def _blind(rng):
    """25 slats of 12 mm every 20 mm."""
    slats = [rectangle([-0.25 + 0.02 * k, -0.3, 0.6], [0.012, 0, 0.004], [0.05, 0.6, 0]) for k in range(25)]
    return np.concatenate(slats), 0.0


def _cloud_of_leaves(rng):
    return leaves(rng, 400, [-0.25, -0.25, 0.3], [0.25, 0.25, 0.8]), 0.0


def _guard(rng):
    """Bars of 2 mm every 12.5 mm both ways, 5 cm below the lamp."""
    radius = BAR / 2
    bars = [
        branch([-0.36, y, BAR_HEIGHT], [0.36, y, BAR_HEIGHT], radius, 8, 1)
        for y in BAR_PITCH * np.arange(-8, 9)
    ] + [
        branch([x, -0.11, BAR_HEIGHT + BAR], [x, 0.11, BAR_HEIGHT + BAR], radius, 8, 1)
        for x in BAR_PITCH * np.arange(-28, 29)
    ]
    return np.concatenate(bars), 0.0


def _near_branch(rng):
    """30 mm thick, its bark 3 cm below the lamp."""
    return branch([-0.3, -0.22, 0.955], [0.3, 0.22, 0.955], 0.015, 24), 0.0
