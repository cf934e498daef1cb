"""Scenes of triangles for tests: clouds, branches and leaves. Everything is drawn from a seed."""

import numpy as np


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
