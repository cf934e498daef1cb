"""Openings for air: what a hole, a mesh and a narrow gap cost the air that goes through."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.opening_kernels import balanced_flows, flow_speed, heads_at

Floats = NDArray[np.float64]

# Contraction and friction at a sharp edge, taken together (common in hydraulics; 0.60 to 0.65).
DISCHARGE = 0.62
# Of air at 300 K. [Pa s], [m2 s-1]
VISCOSITY = 1.846e-5
KINEMATIC = 1.57e-5
# A level opening swaps air with nothing flowing through it on balance.
SWAPPED = 0.055


@dataclass(frozen=True, slots=True)
class Loss:
    """What an opening costs: a pressure of half the density times `square` v^2, and `linear` v.

    Attributes
    ----------
    square : float
        Loss coefficient of the mean speed over the whole opening. [-]
    linear : float
        What friction adds at low speed. [Pa s m-1]
    """

    square: float
    linear: float


def hole_loss(discharge: float = DISCHARGE) -> Loss:
    r"""Loss of a sharp-edged hole.

    Parameters
    ----------
    discharge : float, default 0.62
        Its discharge coefficient, the flow over what the speed of Torricelli would bring. [-]

    Returns
    -------
    loss : Loss
        Without friction. [-]

    Raises
    ------
    DomainError
        If the coefficient is not above 0 and at most 1.

    Notes
    -----
    :math:`Q = C_d A \sqrt{2 \Delta p / \rho}` is a loss coefficient of :math:`1 / C_d^2` [1]_.

    Examples
    --------
    >>> round(hole_loss().square, 2)
    2.6

    References
    ----------
    .. [1] ISO 5167-2, orifice plates; C of 0.60 to 0.65 for sharp edges (from memory).
    """
    if not 0.0 < discharge <= 1.0:
        msg = f"discharge must be above 0 and at most 1; got {discharge}"
        raise DomainError(msg)
    return Loss(1.0 / discharge**2, 0.0)


def mesh_loss(open_share: float, wire: float) -> Loss:
    r"""Loss of an opening closed by a woven mesh.

    Parameters
    ----------
    open_share : float
        Share of the mesh that is open. [-]
    wire : float
        Diameter of its wires. [m]

    Returns
    -------
    loss : Loss
        Of the edge of the opening and of the mesh, one after the other. [-]

    Raises
    ------
    DomainError
        If the share is not above 0 and at most 1, or the wire has no thickness.

    Notes
    -----
    A mesh of open share f and wire d costs, with Re = v d / (f nu) [1]_,

    .. math:: \zeta = 1.3 (1 - f) + (1/f - 1)^2 + 22 / Re

    In a still enclosure Re is of order 1, and friction is most of it.

    *Valid for* Re below about 50; above that a little too much.

    Examples
    --------
    >>> mesh = mesh_loss(0.5, 0.3e-3)
    >>> round(mesh.square, 2), round(mesh.linear, 2)
    (4.25, 0.34)

    References
    ----------
    .. [1] I. E. Idelchik, *Handbook of Hydraulic Resistance*, screens of wire (from memory).
    """
    if not 0.0 < open_share <= 1.0:
        msg = f"open_share must be above 0 and at most 1; got {open_share}"
        raise DomainError(msg)
    if not wire > 0.0:
        msg = f"wire must be above 0 m; got {wire}"
        raise DomainError(msg)
    square = 1.3 * (1.0 - open_share) + (1.0 / open_share - 1.0) ** 2
    # 22 / Re of half the density times v^2, with the density that belongs to the two viscosities.
    linear = 11.0 * open_share * VISCOSITY / wire
    return Loss(hole_loss().square + square, linear)


def gap_loss(width: float, depth: float) -> Loss:
    r"""Loss of a long narrow gap, as between sliding panes.

    Parameters
    ----------
    width : float
        Clear width of the gap. [m]
    depth : float
        How far air goes through it. [m]

    Returns
    -------
    loss : Loss
        Entry, exit and friction between its walls. [-]

    Raises
    ------
    DomainError
        If a length is not above 0.

    Notes
    -----
    Laminar flow between parallel walls [1]_, :math:`\Delta p = 12 \mu L v / h^2`, and 1.5 for entry and exit.

    Examples
    --------
    >>> round(gap_loss(3e-3, 6e-3).linear, 2)
    0.15

    References
    ----------
    .. [1] H. Lamb, *Hydrodynamics*: steady motion between parallel planes (from memory).
    """
    if not (width > 0.0 and depth > 0.0):
        msg = f"width and depth must be above 0 m; got {width} and {depth}"
        raise DomainError(msg)
    return Loss(1.5, 12.0 * VISCOSITY * depth / width**2)


def level_exchange(area: float, square: float) -> float:
    r"""How readily a level opening swaps warm air below for cool air above.

    Parameters
    ----------
    area : float
        Of the opening. [m2]
    square : float
        Its loss coefficient; a mesh slows the swap as it slows a flow. [-]

    Returns
    -------
    exchange : float
        Flow each way over the square root of the reduced gravity; m to the power 2.5. [-]

    Raises
    ------
    DomainError
        If the area is below 0 or the coefficient not above 0.

    Notes
    -----
    Of heavy over light fluid [1]_: :math:`Q = 0.055 \sqrt{g' D^5}` with D the diameter of a round opening of the
    same area. A net flow through the opening takes its place; taken here as one for one.

    Examples
    --------
    A hole of 30 cm with air 3 K warmer below (g' 0.1 m/s2) swaps 0.9 L/s:

    >>> round(level_exchange(0.0707, hole_loss().square) * 0.1**0.5 * 1000, 1)
    0.9

    References
    ----------
    .. [1] M. Epstein, "Buoyancy-driven exchange flow through small openings in horizontal partitions", *Journal of
       Heat Transfer* 110:885-893, 1988 (from memory).
    """
    if area < 0.0 or not square > 0.0:
        msg = f"area must not be below 0 and square above 0; got {area} and {square}"
        raise DomainError(msg)
    diameter = 2.0 * (area / np.pi) ** 0.5
    slowed = (hole_loss().square / max(square, hole_loss().square)) ** 0.5
    return float(SWAPPED * diameter**2.5 * slowed)


def stack_flow(
    heights: Floats,
    areas: Floats,
    losses: tuple[Loss, ...],
    edges: Floats,
    density: Floats,
    outside: float,
) -> tuple[Floats, float]:
    r"""Flow through openings at several heights, driven by the weight of the air inside and outside.

    Parameters
    ----------
    heights, areas : (o,) float
        Of each opening: middle above the floor, and area. [m], [m2]
    losses : tuple of Loss
        Of each opening. [-]
    edges : (n + 1,) float
        Heights between layers. [m]
    density : (n,) float
        Of the air in each layer. [kg m-3]
    outside : float
        Of the air outside. [kg m-3]

    Returns
    -------
    flows : (o,) float
        Out of the box above zero; they add up to nothing. [m3 s-1]
    neutral : float
        Height at which the pressure inside is that outside; NaN where it is nowhere in the box. [m]

    Raises
    ------
    DomainError
        If shapes disagree or a value is not finite.

    Notes
    -----
    The pressure at the floor is found so that as much enters as leaves; each opening then has [1]_

    .. math:: \Delta p(z) = p_0 + g \int_0^z (\rho_o - \rho_i)\, dz'

    Examples
    --------
    Two holes of 1 dm2, 60 cm apart, 10 K warmer inside: 2.7 L/s, and the neutral level half way.

    >>> flows, neutral = stack_flow(np.array([0.0, 0.6]), np.array([0.01, 0.01]), (hole_loss(), hole_loss()),
    ...     np.array([0.0, 0.6]), np.array([1.164]), 1.204)
    >>> (flows * 1000).round(1).tolist(), round(neutral, 2)
    ([-2.8, 2.8], 0.3)

    References
    ----------
    .. [1] *ASHRAE Handbook: Fundamentals*, stack effect (from memory).
    """
    heights, areas, edges, density = (np.array(a, dtype=np.float64) for a in (heights, areas, edges, density))
    if not (len(heights) == len(areas) == len(losses) and len(edges) == len(density) + 1):
        msg = "there must be one height, area and loss for each opening, and one more edge than layers"
        raise DomainError(msg)
    if not all(bool(np.isfinite(a).all()) for a in (heights, areas, edges, density)):
        msg = "heights, areas, edges and densities must be finite"
        raise DomainError(msg)
    square = np.array([loss.square for loss in losses])
    linear = np.array([loss.linear for loss in losses])
    head, flows, slopes = (np.zeros(len(heights)) for _ in range(3))
    heads_at(density, outside, edges, heights, head)
    at_floor = balanced_flows(
        head, areas, square, linear, np.zeros(len(heights)), outside, 0.0, flows, slopes
    )
    steps = np.linspace(edges[0], edges[-1], 2001)
    gained = np.zeros(len(steps))
    heads_at(density, outside, edges, steps, gained)
    within = at_floor + gained
    crossing = np.flatnonzero(np.diff(np.sign(within)) != 0)
    neutral = float(steps[crossing[0]]) if len(crossing) and at_floor != 0.0 else float("nan")
    return flows, neutral


def speed_through(pressure: float, loss: Loss, density: float) -> float:
    """Mean speed of air through an opening.

    Parameters
    ----------
    pressure : float
        Across it. [Pa]
    loss : Loss
        What it costs. [-]
    density : float
        Of the air. [kg m-3]

    Returns
    -------
    speed : float
        With the sign of the pressure. [m s-1]

    Notes
    -----
    The root of square and linear loss together, in the form that is exact at low speed too [1]_.

    Examples
    --------
    >>> round(speed_through(0.1, hole_loss(), 1.2), 3)
    0.253

    References
    ----------
    .. [1] Forchheimer's law of two terms (from memory).
    """
    return float(flow_speed(pressure, 0.5 * density * loss.square, loss.linear))
