"""Every watt of a lamp booked where it lands: on opaque triangles, in leafy bodies, in thin media, outside.

Light is followed from the lamp outwards, where :mod:`sunfleck.physics.transport` looks from a point back
to the lamp. The one gives power on whole surfaces and closes to the last watt, the other gives irradiance
at a point; they share their laws and check each other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.rays import RayScene
from sunfleck.physics.canopies import Canopies
from sunfleck.physics.emitted_rays import emitted_rays
from sunfleck.physics.emitters import DiscEmitter, LineEmitter
from sunfleck.physics.media import Media
from sunfleck.physics.receive import in_chunks
from sunfleck.physics.scene import MediaArrays
from sunfleck.physics.shoot_kernel import shoot_kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NUMBER = 65_536
# Rays handed to a thread at a time. Each ray's hit is worked out by itself and booking runs in the order of
# the rays, so neither this number nor the number of threads can change a result.
CHUNK = 8192


@dataclass(frozen=True, slots=True)
class Balance:
    """Where the one watt of a lamp is in one channel.

    Attributes
    ----------
    landed : (bins,) float
        Power that lands in each bin. [W]
    media : (groups,) float
        Power that media of each group keep from passing: absorbed, or sent back. [W]
    total : float
        All of it together: 1. [W]
    """

    landed: Floats
    media: Floats
    total: float


@dataclass(frozen=True, slots=True)
class Landing:
    """Where the light of a lamp lands, per watt it gives off, by the media it has crossed.

    Attributes
    ----------
    groups : (c,) int
        Bit masks in rising order: bit g is set where light has crossed the media group g. Mask 0, light
        that crossed none, is always the first; others only if light with them is booked somewhere. [-]
    landed : (bins, c) float
        Share that lands in each bin. [-]
    arriving : (groups, c) float
        Share that arrives at media of each group, by the mask it comes with. [-]
    passing : (groups, c) float
        What of that passes, likewise by the mask before the crossing. [-]

    Notes
    -----
    Media are weighted by their dependence on angle relative to normal incidence only: multiply by the
    normal transmittances of the mask, as :meth:`balance` does. Light that crosses two media of one group
    is weighted by both dependences on angle, by the normal transmittance once, as in
    :class:`sunfleck.physics.scene.Transfer`.
    """

    groups: Ints
    landed: Floats
    arriving: Floats
    passing: Floats

    def balance(self, transmittance: ArrayLike) -> Balance:
        """Where the watt is in a channel.

        Parameters
        ----------
        transmittance : (g,) float
            Normal transmittance of the groups 0 to g - 1, which must be all that occur. [-]

        Returns
        -------
        balance : Balance
            Power per bin and per group of media, and their sum. [W]

        Raises
        ------
        DomainError
            If a group has no transmittance or one is outside 0 to 1.
        """
        normal = np.array(transmittance, dtype=np.float64)
        if normal.ndim != 1 or len(normal) < len(self.arriving):
            msg = f"transmittance must have one value for each of {len(self.arriving)} groups; got the shape {normal.shape}"
            raise DomainError(msg)
        if not bool(((normal >= 0) & (normal <= 1)).all()):
            msg = f"transmittances must be between 0 and 1; got {normal.tolist()}"
            raise DomainError(msg)
        crossed = (self.groups[:, None] >> np.arange(len(normal))) & 1 == 1  # (c, g)
        through = np.where(crossed, normal, 1.0).prod(axis=1)
        media = np.zeros(len(normal))
        for g in range(len(self.arriving)):
            # A group that was crossed before has given its normal transmittance already.
            here = np.where(crossed[:, g], 1.0, normal[g])
            media[g] = (through * (self.arriving[g] - here * self.passing[g])).sum()
        landed = np.asarray(self.landed @ through)
        return Balance(landed, media, float(landed.sum() + media.sum()))


def shoot(
    rays: RayScene,
    triangles: ArrayLike,
    bins_front: ArrayLike,
    bins_back: ArrayLike,
    media: Media,
    canopies: Canopies,
    canopy_bins: ArrayLike,
    emitter: LineEmitter | DiscEmitter,
    *,
    outside: int,
    number: int = NUMBER,
    threads: int | None = None,
) -> Landing:
    r"""Where the light of a lamp lands.

    Parameters
    ----------
    rays : RayScene
        The triangles, ready for rays. [m]
    triangles : (t, 3, 3) float
        The same triangles in the order `rays` numbers them in. [m]
    bins_front, bins_back : (t,) int
        Bin for what lands on the side of each triangle that its normal, (b - a) x (c - a), points to, and
        on the other; -1 for a black side outside of all that is asked for. [-]
    media : Media
        Thin media on the way. [m]
    canopies : Canopies
        Porous leafy bodies. [m]
    canopy_bins : (k,) int
        Bin for what each leafy body catches. [-]
    emitter : LineEmitter or DiscEmitter
        The lamp, giving off one watt. Its own body should not be among the triangles. [m]
    outside : int
        Bin for what hits nothing or a black side; the last, so that there are `outside` + 1 bins. [-]
    number : int, default 65,536
        How many rays share the watt, evenly. [-]
    threads : int, optional
        How many to use; by default one for each core, at most 4. [-]

    Returns
    -------
    landing : Landing
        Share of the watt per bin and per group of media. [-]

    Raises
    ------
    DomainError
        If shapes disagree, a bin is not one of those from -1 to `outside`, or there are no rays.

    Notes
    -----
    Rays leave as :func:`sunfleck.physics.emitted_rays.emitted_rays` says. Each goes straight to the first
    triangle. On the way, nearest
    first, a medium weights it by its dependence on angle, and a leafy body of extinction :math:`k` catches
    a share [1]_ of it over its chord :math:`L`, counted as met in the middle of the chord:

    .. math:: 1 - e^{-k L}

    Every ray is split without a rest, so all bins, the media and the outside add up to the watt whatever
    the number of rays; what that number decides is how sharply the watt is divided. Of n rays a share s is
    known to a part :math:`c \sqrt{(1 - s) / (n s)}` of itself, with c about 0.1 for walls of a box, 0.25 for
    a ninth of a wall and 0.6 for twigs and slats (rms, measured; random rays have 1). With 65,536 rays a
    tenth of the watt on a wall is good to 0.1 %, a hundredth of it on a twig to 2 %.

    *Valid when* leafy bodies that overlap do so at random, media are thin and the lamp's own body is in no
    ray's way; what media and leafy bodies leave out is said there.

    Examples
    --------
    Two coaxial discs of radius 1 m at 1 m, the upper one glowing: 0.381966 of it lands on the lower [2]_.
    The lower has 64 sides here and so 0.16 % less area.

    >>> from sunfleck.geometry.rays import ray_scene
    >>> from sunfleck.physics.emitters import cosine_law
    >>> turn = np.linspace(0, 2 * np.pi, 65)
    >>> rim = np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=1)
    >>> floor = np.stack([0 * rim[:-1], rim[:-1], rim[1:]], axis=1)
    >>> top = DiscEmitter([0, 0, 1], [0, 0, -1], 1.0, cosine_law())
    >>> landing = shoot(ray_scene(floor), floor, [0] * 64, [1] * 64, Media.none(), Canopies.none(), [], top, outside=1)
    >>> landing.landed[:, 0].round(2).tolist()
    [0.38, 0.62]

    References
    ----------
    .. [1] M. Monsi and T. Saeki, "Über den Lichtfaktor in den Pflanzengesellschaften und seine Bedeutung
       für die Stoffproduktion", Japanese Journal of Botany 14, 1953 (from memory): the law of Beer and
       Lambert for leaves turned at random.
    .. [2] J. R. Howell, *A Catalog of Radiation Heat Transfer Configuration Factors*, C-41 (from memory).
    """
    normals, front, back = _sides(triangles, bins_front, bins_back, outside)
    catching = _bins(canopy_bins, len(canopies), 0, outside, "canopy_bins")
    origins, directions = emitted_rays(emitter, number)
    distance, bins = np.empty(number), np.empty(number, dtype=np.int64)

    def run(part: slice) -> None:
        distance[part], triangle = rays.first_hit(origins[part], directions[part])
        # Nothing hit has the number -1 and looks up the row of the outside that stands at the end.
        ahead = np.einsum("rc,rc->r", directions[part], normals[triangle]) < 0
        bins[part] = np.where(ahead, front[triangle], back[triangle])

    in_chunks(run, number, CHUNK, threads)
    arrays = MediaArrays.of(media)
    groups = int(media.group.max()) + 1 if len(media) else 0
    landed, occurs = np.zeros((outside + 1, arrays.masks)), np.zeros(arrays.masks, dtype=np.bool_)
    arriving, passing = np.zeros((groups, arrays.masks)), np.zeros((groups, arrays.masks))
    # Copies, because a compiled kernel is tied to whether an array may be written to.
    shoot_kernel(
        (*arrays.for_rays[:5], media.group.copy(), *arrays.for_rays[6:]),
        (canopies.centre.copy(), canopies.half_axes.copy(), canopies.extinction.copy()),
        catching,
        origins,
        directions,
        distance,
        bins,
        landed,
        arriving,
        passing,
        occurs,
    )
    occurs[0] = True
    # Rays are counted as whole ones and made shares here: counts add up without rounding.
    found = np.flatnonzero(occurs).astype(np.int64)
    return Landing(found, *(np.ascontiguousarray(a[:, found]) / number for a in (landed, arriving, passing)))


def _sides(
    triangles: ArrayLike, bins_front: ArrayLike, bins_back: ArrayLike, outside: int
) -> tuple[Floats, Ints, Ints]:
    """Normals and bins of both sides, with a row for nothing at the end."""
    corners = np.array(triangles, dtype=np.float64)
    if corners.size == 0:
        corners = corners.reshape(0, 3, 3)
    if corners.ndim != 3 or corners.shape[1:] != (3, 3):
        msg = f"triangles must have the shape (t, 3, 3); got {corners.shape}"
        raise DomainError(msg)
    if outside < 0:
        msg = f"outside must be the number of a bin, 0 or more; got {outside}"
        raise DomainError(msg)
    sides = []
    for values, name in ((bins_front, "bins_front"), (bins_back, "bins_back")):
        bins = _bins(values, len(corners), -1, outside, name)
        sides.append(np.append(np.where(bins < 0, outside, bins), outside))
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    return np.concatenate([normals, np.zeros((1, 3))]), sides[0], sides[1]


def _bins(values: ArrayLike, number: int, lowest: int, outside: int, name: str) -> Ints:
    bins = np.array(values, dtype=np.int64)
    if bins.shape != (number,) and not (bins.size == 0 and number == 0):
        msg = f"{name} must have {number} values; got the shape {bins.shape}"
        raise DomainError(msg)
    if bool(((bins < lowest) | (bins > outside)).any()):
        msg = (
            f"{name} must be {lowest} to {outside}, the bin of the outside; got {bins.min()} to {bins.max()}"
        )
        raise DomainError(msg)
    return bins.reshape(number)
