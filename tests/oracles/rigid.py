"""Found motions held against a collision library (python-fcl): our motion, its shapes, nothing of ours between."""

from __future__ import annotations

from itertools import pairwise

import fcl
import numpy as np

from sunfleck.geometry.passage.rotations import matrix_of

# Bodies are taken so much smaller, because what touches is counted as a collision. [m]
SKIN = 2e-6
WALL = 0.05
AROUND = 20.0


def cuboid(low, high):
    low, high = np.asarray(low, float), np.asarray(high, float)
    size = high - low
    return fcl.CollisionObject(fcl.Box(*size), fcl.Transform(np.eye(3), (low + high) / 2))


def walls(inside, wall, doors):
    """A box that is open in front only, where the doors (x, z, width, height) are: walls as solid blocks."""
    w, d, h = inside
    far = AROUND
    solid = [
        ([-far, d, -far], [far, d + WALL, far]),
        ([-WALL, 0, -far], [0, d, far]),
        ([w, 0, -far], [w + WALL, d, far]),
        ([-far, 0, -WALL], [far, d, 0]),
        ([-far, 0, h], [far, d, h + WALL]),
    ]
    xs = sorted({-far, far, *(x for x, _, _, _ in doors), *(x + a for x, _, a, _ in doors)})
    zs = sorted({-far, far, *(z for _, z, _, _ in doors), *(z + b for _, z, _, b in doors)})
    for x0, x1 in pairwise(xs):
        for z0, z1 in pairwise(zs):
            x, z = (x0 + x1) / 2, (z0 + z1) / 2
            if not any(a < x < a + c and b < z < b + e for a, b, c, e in doors):
                solid.append(([x0, -wall, z0], [x1, 0, z1]))
    return [cuboid(low, high) for low, high in solid]


def box_shape(size):
    return [(fcl.Box(*(np.asarray(size) - 2 * SKIN)), np.eye(3), np.zeros(3))]


def capsule_shapes(ends, radius):
    """Capsules between pairs of points, one radius."""
    shapes = []
    for pair in ends:
        a, b = np.asarray(pair, float)
        along = b - a
        length = np.linalg.norm(along)
        z = along / length
        x = np.cross(z, [1.0, 0, 0] if abs(z[0]) < 0.9 else [0, 1.0, 0])
        x /= np.linalg.norm(x)
        axes = np.stack([x, np.cross(z, x), z], axis=1)
        shapes.append((fcl.Capsule(radius - SKIN, length), axes, (a + b) / 2))
    return shapes


def collisions(motion, shapes, around, step, lever):
    """How many of the poses of a motion, `step` apart, touch anything, and how many there are."""
    hits, count = 0, 0
    moving = [fcl.CollisionObject(shape, fcl.Transform()) for shape, _, _ in shapes]
    # The library's own tree of boxes round the walls: one question a pose instead of one for each wall.
    solid = fcl.DynamicAABBTreeCollisionManager()
    solid.registerObjects(around)
    solid.setup()
    for pose in motion.replayed(step, lever):
        count += 1
        turn = matrix_of(pose.turn)
        for thing, (_, axes, at) in zip(moving, shapes, strict=True):
            thing.setTransform(fcl.Transform(turn @ axes, pose.place + turn @ at))
            asked = fcl.CollisionData()
            solid.collide(thing, asked, fcl.defaultCollisionCallback)
            hits += asked.result.is_collision
    return hits, count
