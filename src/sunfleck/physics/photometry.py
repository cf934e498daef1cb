"""What a luminaire sends in every direction, as a photometric file tells it, and what that adds up to."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError

Floats = NDArray[np.float64]
Kind = Literal["C", "B", "A"]
Shape = Literal["point", "rectangle", "box", "round", "upright cylinder", "lying cylinder", "ball"]
# Angles of files are rounded to a hundredth of a degree or so; what is closer than this is the same. [rad]
SAME = 1e-9


@dataclass(frozen=True, slots=True)
class Opening:
    """What glows of a luminaire, as large as the file says.

    Attributes
    ----------
    shape : str
        ``point``, ``rectangle``, ``box``, ``round``, ``upright cylinder``, ``lying cylinder``, ``ball``.
    x : float
        Size along the plane C0-C180. [m]
    y : float
        Size along the plane C90-C270. [m]
    height : float
        Size upwards. [m]
    """

    shape: Shape
    x: float
    y: float
    height: float

    @property
    def length(self) -> float:
        """The longer of the two sizes across. [m]"""
        return max(self.x, self.y)

    @property
    def width(self) -> float:
        """The shorter of the two sizes across. [m]"""
        return min(self.x, self.y)


@dataclass(frozen=True, slots=True)
class LampTilt:
    """How a lamp's output depends on how the luminaire is tilted; kept, not used.

    Attributes
    ----------
    geometry : int
        1 the lamp burns upright, 2 and 3 lying, when the luminaire is not tilted. [-]
    angles : tuple of float
        Tilt. [rad]
    factors : tuple of float
        What is left of the output. [-]
    """

    geometry: int
    angles: tuple[float, ...]
    factors: tuple[float, ...]


@dataclass(frozen=True, eq=False)
class Photometry:
    """Luminous intensity of a whole luminaire in every direction.

    In the luminaire's own frame -z is the aim (the nadir of a luminaire that hangs level), the plane C0 lies along
    +x and C90 along +y. Between the angles of the table intensity is bilinear; beyond its vertical angles it is 0.

    Attributes
    ----------
    vertical : (v,) float
        Angles from the aim, rising, within 0 to pi. [rad]
    horizontal : (h,) float
        Angles from +x towards +y, rising, from 0 to 2 pi: both ends are given. [rad]
    intensity : (h, v) float
        Of all lamps together, with all factors of the file. [cd]
    opening : Opening
        What glows. [m]
    stated_lumens : float, optional
        Of all lamps together (of the luminaire where `absolute`), as the file states; None where it states none. [lm]
    output_ratio : float, optional
        Share of the lamps' lumens that leaves the luminaire, as the file states. [-]
    absolute : bool
        Whether the luminaire was measured as a whole and not relative to a lamp's lumens.
    watts : float, optional
        Electric input; None where the file states none. [W]
    lamps : int
        Number of lamps. [-]
    name : str
        What the file calls the luminaire.
    keywords : tuple of (str, str)
        Its other words.
    kind : str
        Type of the goniometer that the file's angles belong to: ``C``, ``B`` or ``A``. The table is always type C.
    form : str
        Which format and edition.
    tilt : LampTilt, optional
        The lamps' dependence on tilt.
    measured_tilt : float
        How far the luminaire was tilted when it was measured; the table is not turned back. [rad]
    notes : tuple of str
        What was assumed or left out in reading.

    Raises
    ------
    DomainError
        If the table has another shape than its angles, angles do not rise or leave their range, or an intensity is
        negative, not finite, or nowhere above zero.
    """

    vertical: Floats
    horizontal: Floats
    intensity: Floats
    opening: Opening = Opening("point", 0.0, 0.0, 0.0)
    stated_lumens: float | None = None
    output_ratio: float | None = None
    absolute: bool = True
    watts: float | None = None
    lamps: int = 1
    name: str = ""
    keywords: tuple[tuple[str, str], ...] = ()
    kind: Kind = "C"
    form: str = ""
    tilt: LampTilt | None = None
    measured_tilt: float = 0.0
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        vertical, horizontal = _rising(self.vertical, "vertical"), _rising(self.horizontal, "horizontal")
        if vertical[0] < -SAME or vertical[-1] > pi + SAME:
            msg = f"vertical must lie within 0 and pi; got {vertical[0]:g} to {vertical[-1]:g} rad"
            raise DomainError(msg)
        if abs(horizontal[0]) > SAME or abs(horizontal[-1] - 2 * pi) > SAME:
            msg = f"horizontal must go from 0 to 2 pi; got {horizontal[0]:g} to {horizontal[-1]:g} rad"
            raise DomainError(msg)
        table = np.array(self.intensity, dtype=np.float64)
        if table.shape != (len(horizontal), len(vertical)):
            msg = (
                f"intensity must be ({len(horizontal)}, {len(vertical)}) as its angles are; got {table.shape}"
            )
            raise DomainError(msg)
        if not np.isfinite(table).all() or bool((table < 0).any()) or not bool((table > 0).any()):
            ends = f"{table.min():g} to {table.max():g} cd"
            msg = f"intensity must be finite, nowhere below zero and somewhere above; got {ends}"
            raise DomainError(msg)
        for field, array in (("vertical", vertical), ("horizontal", horizontal), ("intensity", table)):
            array.flags.writeable = False
            object.__setattr__(self, field, array)

    def intensity_at(self, directions: ArrayLike) -> Floats:
        """Intensity towards directions given in the luminaire's frame.

        Parameters
        ----------
        directions : (n, 3) float
            Unit vectors away from the luminaire; -z is the aim, +x lies in the plane C0. [-]

        Returns
        -------
        intensity : (n,) float
            Bilinear in the two angles; 0 beyond the vertical angles of the table. [cd]

        Raises
        ------
        DomainError
            If the shape is another, or a direction is not a unit vector.
        """
        ways = np.asarray(directions, dtype=np.float64)
        if ways.ndim != 2 or ways.shape[1] != 3:
            msg = f"directions must have the shape (n, 3); got {ways.shape}"
            raise DomainError(msg)
        length = np.sqrt((ways**2).sum(axis=1))
        if not bool((np.abs(length - 1) < 1e-6).all()):
            worst = length[np.argmax(np.nan_to_num(np.abs(length - 1), nan=np.inf))]
            msg = f"directions must be unit vectors; got a length of {worst:g}"
            raise DomainError(msg)
        across = np.hypot(ways[:, 0], ways[:, 1])
        # Straight up or down every plane is as good as any other: the first.
        turn = np.where(across > 0, np.arctan2(ways[:, 1], ways[:, 0]) % (2 * pi), 0.0)
        return self.intensity_towards(np.arctan2(across, -ways[:, 2]), turn)

    def intensity_towards(self, vertical: ArrayLike, horizontal: ArrayLike) -> Floats:
        """Intensity towards directions given as angles.

        Parameters
        ----------
        vertical : (n,) float
            From the aim. [rad]
        horizontal : (n,) float
            From the plane C0, within 0 and 2 pi. Broadcasts against `vertical`. [rad]

        Returns
        -------
        intensity : (n,) float
            Bilinear in the two angles; 0 beyond the vertical angles of the table. [cd]
        """
        down, turn = np.broadcast_arrays(np.asarray(vertical, np.float64), np.asarray(horizontal, np.float64))
        i, across = _place(self.horizontal, turn)
        j, along = _place(self.vertical, down)
        table = self.intensity
        near = table[i, j] * (1 - along) + table[i, j + 1] * along
        far = table[i + 1, j] * (1 - along) + table[i + 1, j + 1] * along
        within = (down >= self.vertical[0] - SAME) & (down <= self.vertical[-1] + SAME)
        return np.asarray(np.where(within, near * (1 - across) + far * across, 0.0))


def flux_of(photometry: Photometry) -> float:
    r"""Luminous flux that a table of intensities adds up to.

    Parameters
    ----------
    photometry : Photometry
        The table. [cd]

    Returns
    -------
    flux : float
        Over the whole sphere. [lm]

    Notes
    -----
    .. math:: \Phi = \int_0^{2\pi}\!\!\int_0^\pi I(\gamma, C) \sin\gamma\, d\gamma\, dC

    of the bilinear table itself, without a further approximation: over C its pieces are straight, so that the
    trapezoid rule is exact, and over a piece from :math:`\gamma_1` to :math:`\gamma_2` with slope :math:`s`

    .. math:: \int I \sin\gamma\, d\gamma = I_1\cos\gamma_1 - I_2\cos\gamma_2 + s(\sin\gamma_2 - \sin\gamma_1)

    What is left of error is that the true curve is not straight between the angles of the file: about
    :math:`n h^2/12` of the flux for a beam like :math:`\cos^n` in steps of :math:`h`; 0.06 % for a Lambertian face
    and 0.5 % for :math:`n = 8`, both in steps of 5 degrees.

    Examples
    --------
    One candela everywhere is 4 pi lumens:

    >>> import numpy as np
    >>> round(flux_of(Photometry(np.array([0, np.pi]), np.array([0, 2 * np.pi]), np.ones((2, 2)))) / np.pi, 9)
    4.0

    References
    ----------
    .. [1] CIE S 017, *International Lighting Vocabulary*: luminous intensity is flux per solid angle (from memory);
       integrated here by parts.
    """
    return _flux_between(photometry, 0.0, pi)


def hemisphere_shares(photometry: Photometry) -> tuple[float, float]:
    """Shares of the flux that leave towards the aim's side and away from it.

    Parameters
    ----------
    photometry : Photometry
        The table. [cd]

    Returns
    -------
    down, up : float
        Within 90 degrees of the aim, and beyond; they add up to one. [-]
    """
    down = _flux_between(photometry, 0.0, pi / 2) / flux_of(photometry)
    return down, 1.0 - down


def disagreement(photometry: Photometry) -> float | None:
    """How the flux of the table stands to what the file states.

    Parameters
    ----------
    photometry : Photometry
        The table and what is stated beside it. [cd]

    Returns
    -------
    ratio : float or None
        Flux of the table over the stated lumens times the stated output ratio, where there is one: 1 is agreement.
        Without an output ratio the stated lumens are those of the bare lamps: below 1 by what the luminaire keeps,
        and never above. None where no lumens are stated. [-]
    """
    if photometry.stated_lumens is None:
        return None
    ratio = 1.0 if photometry.output_ratio is None else photometry.output_ratio
    return flux_of(photometry) / (photometry.stated_lumens * ratio)


def _flux_between(photometry: Photometry, low: float, high: float) -> float:
    """Flux between two vertical angles, exact for the bilinear table."""
    nodes = photometry.vertical
    low, high = max(low, float(nodes[0])), min(high, float(nodes[-1]))
    if high <= low:
        return 0.0
    around = np.trapezoid(photometry.intensity, photometry.horizontal, axis=0)
    inner = nodes[(nodes > low + SAME) & (nodes < high - SAME)]
    at = np.concatenate([[low], inner, [high]])
    value = np.interp(at, nodes, around)
    slope = np.diff(value) / np.diff(at)
    # The first two terms of the pieces telescope.
    ends = value[0] * np.cos(at[0]) - value[-1] * np.cos(at[-1])
    return float(ends + (slope * np.diff(np.sin(at))).sum())


def _place(nodes: Floats, at: Floats) -> tuple[NDArray[np.intp], Floats]:
    """Index of the piece each angle lies in, and how far along it."""
    k = np.clip(np.searchsorted(nodes, at, side="right") - 1, 0, len(nodes) - 2)
    return k, np.clip((at - nodes[k]) / (nodes[k + 1] - nodes[k]), 0.0, 1.0)


def _rising(values: ArrayLike, name: str) -> Floats:
    angles = np.array(values, dtype=np.float64)
    if angles.ndim != 1 or len(angles) < 2 or not bool((np.diff(angles) > SAME).all()):
        msg = f"{name} must be two or more rising angles; got {angles.tolist()[:4]}"
        raise DomainError(msg)
    return angles
