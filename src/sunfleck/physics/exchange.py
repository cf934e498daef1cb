"""Light to and fro between patches: how much of what leaves one arrives at another, and where it ends.

The exchange depends on shapes only: found once, it serves every lamp and every channel.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.patches import normals_and_areas
from sunfleck.geometry.rays import OFFSET
from sunfleck.physics.patch_scene import PatchScene
from sunfleck.physics.receive import in_chunks
from sunfleck.physics.sobol import sobol_points
from sunfleck.physics.surround import RAYS_AT_A_TIME, uniform_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Numbers that a ray is made of: up to three for its place, two for its direction, one for canopies.
DIMENSIONS = 6
# How often a place is looked from again that may lie in a solid, and by how much each look is turned.
SECOND_LOOKS = 4
SECOND_TURN = (sqrt(5) - 2, sqrt(2) - 1)
# Rays begin this far from the edges of triangles: one that begins nearer to another wall than rays see
# would pass through it. [m]
INSET = 3 * OFFSET
# The scaling comes to rest within some tens of steps; between two surfaces close together it may never do.
STEPS = 300
CLOSED = 1e-11
# A power below 1 keeps the scaling from swinging; 1/2 would be safe and slower.
STRIDE = 0.7
# No patch is scaled by more than this, or by less than one over it.
MOST_SCALING = 100.0


@dataclass(frozen=True, slots=True)
class Exchange:
    """How patches and canopies see each other.

    Attributes
    ----------
    conductance : (p + 1, p + 1) float
        Area of a patch times the share of what leaves it that arrives at another; symmetric, the last row
        and column are outside. The row of a patch adds up to its area. [m2]
    area : (p,) float
        Of each patch, without what lies hidden in a solid; of a canopy 4 k V, the area of its leaves on
        both sides. [m2]
    scaling : (p,) float
        What the sampled exchange was multiplied by on behalf of each patch, so that nothing is lost: its
        distance from 1 shows how much sampling erred. [-]
    """

    conductance: Floats
    area: Floats
    scaling: Floats


def exchange_of(scene: PatchScene, number: int = 256, *, threads: int | None = None) -> Exchange:
    r"""Sample the exchange between all patches.

    Parameters
    ----------
    scene : PatchScene
        Patches and canopies. [m]
    number : int, default 256
        How many rays leave each of them; a power of two. [-]
    threads : int, optional
        How many to use; by default one for each core, at most 4. [-]

    Returns
    -------
    exchange : Exchange
        Symmetric, nowhere negative, closed. [m2]

    Raises
    ------
    DomainError
        If `number` is not a power of two.

    Notes
    -----
    The share :math:`F_{ij}` of the rays of patch i that end at j estimates

    .. math:: F_{ij} = \frac{1}{A_i} \int_{A_i} \int_{A_j}
              \frac{\cos\theta_i \cos\theta_j}{\pi r^2}\, V\, dA_j\, dA_i

    and :math:`A_i F_{ij} = A_j F_{ji}` holds for the integrals, not for the estimates. The two are
    averaged, each weighted by the area of the *other* patch,

    .. math:: K_{ij} = \frac{A_j\, (A_i F_{ij}) + A_i\, (A_j F_{ji})}{A_i + A_j}

    which is the average of least variance: few rays from a wall find a leaf, nearly every one from the
    leaf finds the wall. Then :math:`d_i K_{ij} d_j` with the scaling d that makes the rows of patches add
    up to their areas [1]_; outside is not scaled. Where no scaling does (two surfaces that see nothing but
    each other and differ in area), what is missing is given to a patch itself.

    A black side can only be met from inside a solid or from outside the carcass: from the part of a wall
    that a ledge covers. That part is taken out of the area of its patch.

    Rays begin at points spread by area, with the cosine law about the normal; of a canopy, at points
    spread through its volume and in all directions alike. They form a Sobol net [2]_ that is shifted by
    another amount for each patch.

    A single factor of 0.2 between two patches is off by 4 to 6 % (rms) with 256 rays each, by 0.6 to
    0.9 % with 4096. The light that comes to a place in a furnished box of 890 patches is off by 0.3 %
    (rms) with 256 (computed here): errors of many patches cancel.

    Examples
    --------
    Two opposite faces of a cube see each other by 0.1998 [3]_; the other faces are open:

    >>> from sunfleck.geometry.boxes import Box
    >>> from sunfleck.geometry.patches import Surface, patches_of
    >>> faces = Box(np.zeros(3), np.ones(3)).triangles(without=("left", "right", "front", "back"))
    >>> facing = exchange_of(PatchScene(patches_of([Surface(faces, "back")], 0.25)), 1024)
    >>> upper, lower = np.arange(16), np.arange(16, 32)
    >>> float(facing.conductance[np.ix_(upper, lower)].sum().round(3))
    0.2

    References
    ----------
    .. [1] R. Sinkhorn, "A relationship between arbitrary positive matrices and doubly stochastic
       matrices", *Annals of Mathematical Statistics* 35:876-879, 1964 (from memory).
    .. [2] I. M. Sobol', "On the distribution of points in a cube and the approximate evaluation of
       integrals", *USSR Computational Mathematics and Mathematical Physics* 7:86-112, 1967 (from memory).
    .. [3] J. R. Howell, *A Catalog of Radiation Heat Transfer Configuration Factors*, C-11 (from memory);
       checked by quadrature.
    """
    if number < 1 or number & (number - 1):
        msg = f"number of rays from each patch must be a power of two; got {number}"
        raise DomainError(msg)
    patches, canopies, n = scene.patches, scene.canopies, scene.outside
    volume = 4 / 3 * np.pi * canopies.half_axes.prod(axis=1)
    area = np.concatenate([patches.area, 4 * canopies.extinction * volume])
    hits = np.zeros((n, n + 2))
    pattern = sobol_points(number, DIMENSIONS)
    sides = _Sides(scene)

    def cast(numbers: Ints, u: Floats) -> Ints:
        of_surfaces = numbers < len(patches)
        bodies = numbers[~of_surfaces] - len(patches)
        origins, directions = np.empty((len(numbers), number, 3)), np.empty((len(numbers), number, 3))
        origins[of_surfaces], directions[of_surfaces] = sides.rays(numbers[of_surfaces], u[of_surfaces])
        origins[~of_surfaces], directions[~of_surfaces] = _rays_of_canopies(scene, bodies, u[~of_surfaces])
        end = scene.first_event_or_black(origins.reshape(-1, 3), directions.reshape(-1, 3), u[..., 5].ravel())
        return end.reshape(-1, number)

    def run(part: slice) -> None:
        numbers = np.arange(part.start, part.stop)
        shift = uniform_of(numbers[:, None] * DIMENSIONS + np.arange(DIMENSIONS))
        u = (pattern + shift[:, None]) % 1.0
        end = cast(numbers, u)
        doubtful = (end == n + 1).any(axis=1)
        for _ in range(SECOND_LOOKS if doubtful.any() else 0):
            # From inside a solid some rays end where it touches a wall, on either of the two.
            u[..., 3:5] = (u[..., 3:5] + SECOND_TURN) % 1.0
            black = cast(numbers[doubtful], u[doubtful]) == n + 1
            end[doubtful] = np.where(black, n + 1, end[doubtful])
        cell = np.repeat(numbers - part.start, number) * (n + 2) + end.ravel()
        hits[part] = np.bincount(cell, minlength=len(numbers) * (n + 2)).reshape(-1, n + 2)

    scene.rays, scene.normals  # noqa: B018 - made once, before threads ask for them
    in_chunks(run, n, max(RAYS_AT_A_TIME // number, 1), threads)
    met = hits[:, : n + 1].sum(axis=1)
    area *= met / number
    seen = np.flatnonzero(area > 0)
    rows = np.append(seen, n)
    conductance, scaling = np.zeros((n + 1, n + 1)), np.ones(n)
    shares = hits[np.ix_(seen, rows)] / met[seen, None]
    conductance[np.ix_(rows, rows)], scaling[seen] = _closed(shares, area[seen])
    for array in (conductance, area, scaling):
        array.flags.writeable = False
    return Exchange(conductance, area, scaling)


def interreflect(
    exchange: Exchange, reflectance: ArrayLike, landed: ArrayLike, bounces: int | None = None
) -> tuple[Floats, Floats, Floats]:
    r"""Follow light from where it landed to where it ends.

    Parameters
    ----------
    exchange : Exchange
        Between p patches and canopies. [m2]
    reflectance : (p,) float
        Share of what falls on each that leaves it again, evenly in all directions; of leaves, what they
        reflect and let through. From 0 to below 1. [-]
    landed : (p, c) float
        What lamps send to each patch directly, for c lamps. [W]
    bounces : int, optional
        How often light is sent on; what arrives after the last time stays there. By default until
        nothing is left. [-]

    Returns
    -------
    radiosity : (p, c) float
        What leaves each patch, per area. [W m-2]
    absorbed : (p, c) float
        What stays in each patch. [W]
    outside : (c,) float
        What is lost to openings and black sides; with `absorbed` it adds up to `landed`. [W]

    Raises
    ------
    DomainError
        If shapes are wrong, a reflectance is not from 0 to below 1, a power is not finite or below zero,
        or `bounces` is not above zero.

    Notes
    -----
    .. math:: A_i B_i = \rho_i \Bigl(\Phi_i + \sum_j K_{ij} B_j\Bigr)

    solved as :math:`(I - S K S)\, y = S \Phi` with :math:`S = \sqrt{\rho/A}` and :math:`B = S y`, which is
    symmetric and positive definite whatever the reflectances. *Valid when* every surface reflects
    diffusely: a mirror or a polished pane does not.

    Examples
    --------
    In a closed box of one reflectance, 60 W that land evenly leave it as 60 W times 0.5 / (1 - 0.5):

    >>> inside = Exchange(np.pad(np.full((6, 6), 1 / 6), (0, 1)), np.ones(6), np.ones(6))
    >>> interreflect(inside, np.full(6, 0.5), np.full((6, 1), 10.0))[0][0].round(9).tolist()
    [10.0]

    References
    ----------
    .. [1] C. M. Goral, K. E. Torrance, D. P. Greenberg and B. Battaile, "Modeling the interaction of light
       between diffuse surfaces", *Computer Graphics* 18(3):213-222, 1984 (from memory).
    """
    area, p = exchange.area, len(exchange.area)
    rho, power = np.asarray(reflectance, dtype=np.float64), np.asarray(landed, dtype=np.float64)
    if rho.shape != (p,) or power.ndim != 2 or len(power) != p:
        msg = (
            f"reflectance ({p},) and landed ({p}, c) must fit {p} patches; got {rho.shape} and {power.shape}"
        )
        raise DomainError(msg)
    if not bool(((rho >= 0) & (rho < 1)).all()):
        msg = f"reflectance must be from 0 to below 1; got {rho.min():g} to {rho.max():g}"
        raise DomainError(msg)
    if not bool((np.isfinite(power) & (power >= 0)).all()):
        msg = f"landed must be finite and not below zero; got {power.min():g} to {power.max():g} W"
        raise DomainError(msg)
    if bounces is not None and bounces < 1:
        msg = f"bounces must be above zero; got {bounces}"
        raise DomainError(msg)
    between = exchange.conductance[:-1, :-1]
    # What lands on a hidden patch, by a rounding error, stays there.
    per_area = np.divide(rho, area, out=np.zeros(p), where=area > 0)
    if bounces is None:
        root = np.sqrt(per_area)
        system = np.eye(p) - np.outer(root, root) * between
        radiosity = root[:, None] * np.linalg.solve(system, root[:, None] * power)
    else:
        radiosity = np.zeros_like(power)
        for _ in range(bounces):
            radiosity = per_area[:, None] * (power + between @ radiosity)
    absorbed = power + between @ radiosity - area[:, None] * radiosity
    return radiosity, absorbed, np.asarray(exchange.conductance[-1, :-1] @ radiosity)


class _Sides:
    """Sides of triangles that belong to patches, sorted by patch, for taking points spread by area."""

    def __init__(self, scene: PatchScene) -> None:
        patches = scene.patches
        patch = np.concatenate([patches.front, patches.back])
        order = np.argsort(patch, kind="stable")
        order = order[patch[order] >= 0]
        areas = normals_and_areas(patches.triangles)[1]
        triangle = order % max(len(areas), 1)
        corners = patches.triangles[triangle]
        self.normal = scene.normals[triangle] * np.where(order < len(areas), 1.0, -1.0)[:, None]
        self.reach = np.concatenate([[0.0], np.cumsum(areas[triangle])])
        self.first = np.searchsorted(patch[order], np.arange(len(patches) + 1))
        edges = np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2)
        self.along = (corners[:, 1] - corners[:, 0]) / edges[:, :1]
        self.across = np.cross(self.normal, self.along)
        inner_radius = 2 * areas[triangle] / edges.sum(axis=1)
        # Slivers keep the inner half of their extent.
        kept = 1 - np.minimum(INSET / inner_radius, 0.5)[:, None, None]
        middle = corners.mean(axis=1, keepdims=True)
        corners = middle + kept * (corners - middle)
        self.corner, self.edge_u, self.edge_v = (
            corners[:, 0],
            corners[:, 1] - corners[:, 0],
            corners[:, 2] - corners[:, 0],
        )

    def rays(self, numbers: Ints, u: Floats) -> tuple[Floats, Floats]:
        """Origins and directions of rays from patches (q,) with the numbers u (q, m, 6), each (q, m, 3)."""
        begin, end = (self.reach[self.first[numbers + k]][:, None] for k in range(2))
        place = begin + u[..., 0] * (end - begin)
        side = np.searchsorted(self.reach, place, side="right") - 1
        side = np.clip(side, self.first[numbers][:, None], self.first[numbers + 1][:, None] - 1)
        # How far into its own side a ray begins serves as the first coordinate there.
        inside = (place - self.reach[side]) / (self.reach[side + 1] - self.reach[side])
        root = np.sqrt(np.clip(inside, 0.0, 1.0))
        origins = self.corner[side] + (root * (1 - u[..., 1]))[..., None] * self.edge_u[side]
        origins += (root * u[..., 1])[..., None] * self.edge_v[side]
        # Lifted by what no ray sees, so that a rounding error does not begin it behind its own surface.
        origins += OFFSET * self.normal[side]
        out, turn = np.sqrt(u[..., 3]), 2 * np.pi * u[..., 4]
        directions = (out * np.cos(turn))[..., None] * self.along[side]
        directions += (out * np.sin(turn))[..., None] * self.across[side]
        return origins, directions + np.sqrt(1 - u[..., 3])[..., None] * self.normal[side]


def _rays_of_canopies(scene: PatchScene, numbers: Ints, u: Floats) -> tuple[Floats, Floats]:
    """Origins and directions of rays from canopies (q,) with the numbers u (q, m, 6), each (q, m, 3)."""
    ball = np.cbrt(u[..., 2])[..., None] * _on_sphere(u[..., 0], u[..., 1])
    origins = scene.canopies.centre[numbers][:, None] + ball * scene.canopies.half_axes[numbers][:, None]
    return origins, _on_sphere(u[..., 3], u[..., 4])


def _on_sphere(up: Floats, around: Floats) -> Floats:
    """Points on the unit sphere from two numbers each, evenly."""
    z, turn = 1 - 2 * up, 2 * np.pi * around
    across = np.sqrt(1 - z**2)
    return np.stack([across * np.cos(turn), across * np.sin(turn), z], axis=-1)


def _closed(shares: Floats, area: Floats) -> tuple[Floats, Floats]:
    """Conductance (p + 1, p + 1) from sampled shares (p, p + 1), and the scaling that closed it (p,)."""
    p = len(area)
    between = shares[:, :p] * area / (area[:, None] + area) * area[:, None]
    between = between + between.T
    lost = shares[:, p] * area
    scaling, filled = np.ones(p), np.ones(p)
    for _ in range(STEPS):
        filled = scaling * (between @ scaling + lost) / area
        if bool((np.abs(filled - 1) < CLOSED).all()):
            break
        # A patch that nothing was found to see has nothing to scale; what it sends stays with it below.
        # And two that see only each other and differ in area would be scaled without end.
        scaling = np.clip(
            scaling / np.where(filled > 0, filled, 1.0) ** STRIDE, 1 / MOST_SCALING, MOST_SCALING
        )
    conductance = np.zeros((p + 1, p + 1))
    conductance[:p, :p] = np.outer(scaling, scaling) * between
    conductance[:p, p] = conductance[p, :p] = scaling * lost
    if bool((np.abs(filled - 1) >= CLOSED).any()):
        # First nobody gets too much, then what is missing stays where it is.
        sent = conductance[:p].sum(axis=1)
        share = np.minimum(area / np.where(sent > 0, sent, area), 1.0)
        conductance[:p, :p] *= np.minimum(share[:, None], share)
        conductance[:p, p] *= share
        conductance[p, :p] *= share
        own = np.arange(p)
        conductance[own, own] += np.maximum(area - conductance[:p].sum(axis=1), 0.0)
    return conductance, scaling
