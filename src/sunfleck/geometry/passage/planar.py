"""Passage in the plane: a rectangle in a rectangle, a ladder or a panel carried upright round a corner."""

from __future__ import annotations

from functools import cache
from math import cos, hypot, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.bodies import Skeleton
from sunfleck.geometry.passage.flood import Proof, flooded
from sunfleck.geometry.passage.layers import FAR, Way
from sunfleck.geometry.passage.setting import Setting

# Steps of a motion in the plane, as a share of the length carried.
STEP = 1e-4
CELLS = 100_000


def rectangle_fits(p: float, q: float, a: float, b: float) -> bool:
    r"""Whether a rectangle lies in another, turned if need be.

    Parameters
    ----------
    p, q : float
        Sides of the rectangle that is to lie inside, in any order. [m]
    a, b : float
        Sides of the other, in any order. [m]

    Returns
    -------
    fits : bool
        Touching is allowed.

    Raises
    ------
    DomainError
        If a side is not above zero.

    Notes
    -----
    With :math:`p \ge q`, :math:`a \ge b`: it fits straight if :math:`p \le a, q \le b`; otherwise only if
    :math:`q \le b` and

    .. math:: b \ge \frac{2 p q a + (p^2 - q^2) \sqrt{p^2 + q^2 - a^2}}{p^2 + q^2}

    The shorter side is tested first: the short form of the inequality omits it [1]_.

    Examples
    --------
    Narrower, shorter than the diagonal and smaller in area, and yet it does not fit:

    >>> rectangle_fits(9, 4, 8, 6), rectangle_fits(9, 1, 8, 6)
    (False, True)

    References
    ----------
    .. [1] J. E. Wetzel, "Rectangles in rectangles," *Mathematics Magazine*, vol. 73, no. 3, pp. 204-211,
       2000, doi:10.2307/2691523, after W. B. Carver, 1957.
    """
    if not min(p, q, a, b) > 0:
        msg = f"sides must be above zero; got {p} x {q} in {a} x {b} m"
        raise DomainError(msg)
    p, q, a, b = max(p, q), min(p, q), max(a, b), min(a, b)
    if q > b:
        return False
    if p <= a:
        return True
    square = p * p + q * q
    return b >= (2 * p * q * a + (p * p - q * q) * sqrt(square - a * a)) / square


def ladder_limit(first: float, second: float) -> float:
    r"""Longest thin ladder that is carried level round a right corner.

    Parameters
    ----------
    first, second : float
        Widths of the two corridors. [m]

    Returns
    -------
    length : float
        Its length. [m]

    Raises
    ------
    DomainError
        If a width is not above zero.

    Notes
    -----
    .. math:: L = (a^{2/3} + b^{2/3})^{3/2}

    Examples
    --------
    >>> round(ladder_limit(3, 4), 2)
    9.87

    References
    ----------
    .. [1] E. W. Weisstein, "Moving ladder problem," MathWorld.
    """
    if not min(first, second) > 0:
        msg = f"corridors must be wider than zero; got {first} and {second} m"
        raise DomainError(msg)
    return float((first ** (2 / 3) + second ** (2 / 3)) ** 1.5)


def panel_limit(width: float, first: float, second: float) -> float:
    r"""Longest rectangle that is carried level round a right corner.

    Parameters
    ----------
    width : float
        Its shorter side; 0 for a ladder. [m]
    first, second : float
        Widths of the two corridors. [m]

    Returns
    -------
    length : float
        Its longer side. [m]

    Raises
    ------
    DomainError
        If it is wider than a corridor, or a corridor is not wider than zero.

    Notes
    -----
    .. math:: L = \min_\theta \left( \frac{a}{\sin\theta} + \frac{b}{\cos\theta}
        - \frac{w}{\sin\theta\cos\theta} \right)

    found on a fine grid, then by golden section. For a = b it is :math:`2 (\sqrt 2 a - w)`.

    Examples
    --------
    >>> round(panel_limit(0.5, 1, 1), 6)
    1.828427

    References
    ----------
    .. [1] Derived here: the outer side of the panel touches the inner corner while its ends touch the outer walls.
    """
    if not min(first, second) > 0 or not 0 <= width < min(first, second):
        msg = f"a panel must be narrower than both corridors; got {width} in {first} and {second} m"
        raise DomainError(msg)

    def room(angle: float) -> float:
        s, c = sin(angle), cos(angle)
        return first / s + second / c - width / (s * c)

    grid, sines, cosines = _quarter_turn()
    best = int(np.argmin(first / sines + second / cosines - width / (sines * cosines)))
    low, high = float(grid[max(best - 1, 0)]), float(grid[min(best + 1, 2000)])
    golden = (sqrt(5) - 1) / 2
    for _ in range(60):
        one, two = high - golden * (high - low), low + golden * (high - low)
        low, high = (low, two) if room(one) < room(two) else (one, high)
    return room((low + high) / 2)


@cache
def _quarter_turn() -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Angles over a quarter turn, their sines and cosines, each (2001,)."""
    grid = np.linspace(1e-4, np.pi / 2 - 1e-4, 2001)
    return grid, np.array([sin(angle) for angle in grid]), np.array([cos(angle) for angle in grid])


def tilt_up_height(height: float, depth: float) -> float:
    """Ceiling needed to stand something up that was carried lying: its diagonal.

    Parameters
    ----------
    height, depth : float
        Its two sides in the plane it is tilted in. [m]

    Returns
    -------
    ceiling : float
        Height it sweeps. [m]

    Examples
    --------
    >>> round(tilt_up_height(1.8, 0.6), 3)
    1.897
    """
    return hypot(height, depth)


def carried_round_corner(
    length: float, width: float, first: float, second: float, cells: int = CELLS
) -> Proof:
    """Search and proof for a rectangle carried level round a right corner, with no formula.

    Parameters
    ----------
    length, width : float
        Its sides; width 0 for a ladder. [m]
    first, second : float
        Widths of the two corridors. [m]
    cells : int
        Cells at most. [-]

    Returns
    -------
    proof : Proof
        ``found open``: a motion was certified; ``proved``: there is none.
    """
    corners = np.array([[0.0, y * length / 2, z * width / 2] for y in (-1, 1) for z in (-1, 1)])
    rods = np.array([[0, 1], [2, 3], [0, 2], [1, 3]])
    if width == 0:
        corners, rods = corners[[0, 2]], np.array([[0, 1]])
    skeleton = Skeleton(corners, np.zeros(len(corners)), rods)
    layers = np.array([[-FAR, 0.0, -FAR, FAR, 0.0, second], [0.0, first, -FAR, FAR, 0.0, FAR]])
    way = Way("corner", layers, first, layers, first)
    goal = np.array([0.0, 2 * length, first / 2])
    setting = Setting(
        skeleton, skeleton, True, True, (way,), np.array([1.0, 0.0, 0.0, 0.0]), goal, 0.0, planar=True
    )
    return flooded(setting, cells, STEP * length)[0]
