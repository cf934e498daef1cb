"""Planes of intensities made into a full circle, and other goniometers' angles into planes of type C."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.photometry import Kind

Floats = NDArray[np.float64]
# Angles of files are given to a thousandth of a degree at best.
SAME = 1e-6  # [deg]
# The finest steps that angles of types B and A are laid out in: what a table of 1 degree still shows.
COARSE = (1.0, 3.0)
FINE = (0.5, 2.0)


def mirrored(angles: ArrayLike, table: ArrayLike, about: float) -> tuple[Floats, Floats]:
    """Planes on one side of a mirror, and their images on the other.

    Parameters
    ----------
    angles : (p,) float
        Rising, all on one side of the mirror or on it. [deg]
    table : (p, v) float
        Intensities of each plane. [cd]
    about : float
        Where the mirror stands: an angle a has its image at twice `about` less a. [deg]

    Returns
    -------
    angles : (q,) float
        Rising; a plane on the mirror is there once. [deg]
    table : (q, v) float
        Intensities of each. [cd]
    """
    own, rows = np.asarray(angles, dtype=np.float64), np.asarray(table, dtype=np.float64)
    off = np.abs(own - about) > SAME
    both = np.concatenate([own, 2 * about - own[off]])
    order = np.argsort(both, kind="stable")
    return both[order], np.concatenate([rows, rows[off]])[order]


def full_circle(angles: ArrayLike, table: ArrayLike) -> tuple[Floats, Floats]:
    """Planes from 0 to 360 degrees, both ends given, made from planes that go round in any way.

    Parameters
    ----------
    angles : (p,) float
        Rising, within one turn; one plane alone serves all round. A plane a whole turn after another may end
        the list. [deg]
    table : (p, v) float
        Intensities of each plane. [cd]

    Returns
    -------
    angles : (h,) float
        From 0 to 2 pi. [rad]
    table : (h, v) float
        Intensities; where there is no plane at 0 it is interpolated from its two neighbours. [cd]

    Raises
    ------
    DomainError
        If the planes take more than a turn.
    """
    own, rows = np.asarray(angles, dtype=np.float64), np.asarray(table, dtype=np.float64)
    if own[-1] - own[0] > 360.0 + SAME:
        msg = f"planes must lie within one turn; got {own[0]:g} to {own[-1]:g} deg"
        raise DomainError(msg)
    if len(own) > 1 and own[-1] - own[0] > 360.0 - SAME:
        if abs(own[0]) < SAME:
            return np.radians(np.concatenate([[0.0], own[1:-1], [360.0]])), rows
        own, rows = own[:-1], rows[:-1]
    turned = own % 360.0
    turned[turned > 360.0 - SAME] = 0.0
    order = np.argsort(turned, kind="stable")
    at, rows = turned[order], rows[order]
    if at[0] < SAME:
        at[0] = 0.0
        start = rows[0]
    else:
        gap = at[0] + 360.0 - at[-1]
        start = rows[0] + (rows[-1] - rows[0]) * (at[0] / gap)
        at, rows = np.concatenate([[0.0], at]), np.concatenate([start[None], rows])
    return np.radians(np.concatenate([at, [360.0]])), np.concatenate([rows, start[None]])


def as_type_c(
    vertical: ArrayLike, horizontal: ArrayLike, table: ArrayLike, kind: Kind
) -> tuple[Floats, Floats, Floats]:
    r"""Resample a table of a type B or A goniometer to planes of type C.

    Parameters
    ----------
    vertical : (v,) float
        Rising, 0 in the beam's axis. [deg]
    horizontal : (h,) float
        Rising, 0 in the beam's axis; they run clockwise seen from above. [deg]
    table : (h, v) float
        Intensities. [cd]
    kind : str
        ``B``: the planes turn about a horizontal axis, by the vertical angle. ``A``: they turn about the vertical
        axis, by the horizontal angle. [-]

    Returns
    -------
    vertical : (i,) float
        From the beam's axis, to a right angle where the table does not reach behind the luminaire. [rad]
    horizontal : (j,) float
        From 0 to 2 pi. [rad]
    table : (j, i) float
        Bilinear between the angles of the first table; 0 outside of it. [cd]

    Notes
    -----
    The beam's axis becomes -z, and up in front of the beam becomes +x, so that the vertical angle V lies in the plane
    C0-C180 and a horizontal angle H above 0 points to -y [1]_ [2]_:

    .. math:: d_B = (\cos H \sin V,\; -\sin H,\; -\cos H \cos V), \quad
              d_A = (\sin V,\; -\cos V \sin H,\; -\cos V \cos H)

    Steps are 1 degree from the axis and 3 around it, half and two thirds of that for tables finer than a degree.

    Examples
    --------
    A spot 10 degrees to the right of the axis of a type B table lies in the plane C270:

    >>> spot = np.array([[0.0, 0, 0], [0, 1, 0], [0, 0, 0]])
    >>> v, h, c = as_type_c([-10.0, 0, 10], [0.0, 10, 20], spot, "B")
    >>> [float(np.degrees(a).round()) for a in (h[c.max(axis=1).argmax()], v[c.max(axis=0).argmax()])]
    [270.0, 10.0]

    References
    ----------
    .. [1] ANSI/IESNA LM-63-02, section 3: horizontal angles are clockwise for types A and B; in B the planes share a
       horizontal axis, in A a vertical one.
    .. [2] The extension EXT_lights_ies of glTF 2.0, "Coordinate System Mapping": the point where both angles are 0 is
       -Z, the plane of vertical angles is X/Z.
    """
    v, h = np.asarray(vertical, dtype=np.float64), np.asarray(horizontal, dtype=np.float64)
    rows = np.asarray(table, dtype=np.float64)
    fine = min(float(np.diff(v).min()), float(np.diff(h).min())) < 1.0
    step, turn = FINE if fine else COARSE
    reach = 180.0 if max(abs(v[0]), v[-1], abs(h[0]), h[-1]) > 90.0 + SAME else 90.0
    down = np.linspace(0.0, reach, round(reach / step) + 1)
    around = np.linspace(0.0, 360.0, round(360.0 / turn) + 1)
    d, c = np.meshgrid(np.radians(down), np.radians(around))
    x, y, z = np.sin(d) * np.cos(c), np.sin(d) * np.sin(c), -np.cos(d)
    if kind == "B":
        own_v, own_h = np.arctan2(x, -z), -np.arcsin(np.clip(y, -1, 1))
    else:
        own_v, own_h = np.arcsin(np.clip(x, -1, 1)), np.arctan2(-y, -z)
    # In the axis that the planes share, their own angle means nothing; rounding must not put it out of the table.
    shared = np.hypot(x, z) < SAME if kind == "B" else np.hypot(y, z) < SAME
    turning = own_v if kind == "B" else own_h
    turning[shared] = 0.0
    resampled = _bilinear(h, v, rows, np.degrees(own_h), np.degrees(own_v))
    resampled[-1] = resampled[0]
    return np.radians(down), np.radians(around), resampled


def _bilinear(h: Floats, v: Floats, table: Floats, at_h: Floats, at_v: Floats) -> Floats:
    """Values of a table between its angles, 0 beyond them."""
    i = np.clip(np.searchsorted(h, at_h, side="right") - 1, 0, len(h) - 2)
    j = np.clip(np.searchsorted(v, at_v, side="right") - 1, 0, len(v) - 2)
    p = np.clip((at_h - h[i]) / (h[i + 1] - h[i]), 0.0, 1.0)
    q = np.clip((at_v - v[j]) / (v[j + 1] - v[j]), 0.0, 1.0)
    near = table[i, j] * (1 - q) + table[i, j + 1] * q
    far = table[i + 1, j] * (1 - q) + table[i + 1, j + 1] * q
    within = (at_h >= h[0] - SAME) & (at_h <= h[-1] + SAME) & (at_v >= v[0] - SAME) & (at_v <= v[-1] + SAME)
    return np.asarray(np.where(within, near * (1 - p) + far * p, 0.0))
