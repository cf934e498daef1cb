"""The air of a box in level layers: what rises, what goes through openings, and what mixes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.air_kernels import air_step, plume_flow_factor, spans, workspace
from sunfleck.physics.openings import Loss

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Middle values of three numbers that are not known well; see `Mixing`.
ENTRAINMENT = 0.1
VIRTUAL_ORIGIN = 0.12
CONDUCTIVITY = 0.3
ONE_ATMOSPHERE = 101_325.0


@dataclass(frozen=True, slots=True)
class Mixing:
    r"""How plumes take air in and how layers mix.

    Attributes
    ----------
    entrainment : float
        Share of its rising speed at which a plume draws air in from the side. [-]
    virtual_origin : float
        How far below its source a plume would begin in a point. [m]
    conductivity : float
        What mixes layers beside the plumes, as a conductivity of still air would. [W m-1 K-1]

    Notes
    -----
    The three were fitted to a flow computation of one box of 1.2 x 0.7 x 1.2 m (0.2 K rms; 0.15 to 0.6 K on four
    other inputs): computed, not measured. Entrainment and origin trade off and cannot be told apart.
    """

    entrainment: float = ENTRAINMENT
    virtual_origin: float = VIRTUAL_ORIGIN
    conductivity: float = CONDUCTIVITY


@dataclass(frozen=True, slots=True)
class Vents:
    """Openings to the room, as arrays.

    Attributes
    ----------
    layer : (o,) int
        The layer that each opens into. [-]
    height, area : (o,) float
        Its middle above the floor, and its area. [m], [m2]
    square, linear : (o,) float
        Its loss, as in :class:`sunfleck.physics.openings.Loss`. [-], [Pa s m-1]
    exchange : (o,) float
        What a level opening swaps, as :func:`sunfleck.physics.openings.level_exchange`; 0 of upright ones. [-]
    forced : (o,) float
        What a fan moves through it, out above zero; 0 of open ones. [m3 s-1]
    """

    layer: Ints
    height: Floats
    area: Floats
    square: Floats
    linear: Floats
    exchange: Floats
    forced: Floats

    @classmethod
    def none(cls) -> Vents:
        """A sealed box."""
        nothing = np.zeros(0)
        return cls(np.zeros(0, dtype=np.int64), *(nothing for _ in range(6)))

    @classmethod
    def of(
        cls,
        edges: Floats,
        height: ArrayLike,
        area: ArrayLike,
        losses: tuple[Loss, ...],
        exchange: ArrayLike,
        forced: ArrayLike | None = None,
    ) -> Vents:
        """Sort openings into the layers between `edges` (n + 1,) that their middles lie in."""
        heights = np.array(height, dtype=np.float64)
        layer = np.clip(np.searchsorted(edges, heights, side="right") - 1, 0, len(edges) - 2).astype(np.int64)
        return cls(
            layer,
            heights,
            np.array(area, dtype=np.float64),
            np.array([loss.square for loss in losses]),
            np.array([loss.linear for loss in losses]),
            np.array(exchange, dtype=np.float64),
            np.zeros(len(heights)) if forced is None else np.array(forced, dtype=np.float64),
        )

    def arrays(self) -> tuple[Ints, Floats, Floats, Floats, Floats, Floats, Floats]:
        """For the compiled step."""
        return self.layer, self.height, self.area, self.square, self.linear, self.exchange, self.forced


def plume_flow(
    power: ArrayLike, height: ArrayLike, temperature: float = 300.0, mixing: Mixing | None = None
) -> Floats:
    r"""Volume flow of a plume.

    Parameters
    ----------
    power : array_like of float
        Heat that the source gives to the air. [W]
    height : array_like of float
        Above the source. [m]
    temperature : float, default 300
        Of the air around. [K]
    mixing : Mixing, optional
        Entrainment and virtual origin. [-]

    Returns
    -------
    flow : array of float
        Air that goes up at that height. [m3 s-1]

    Raises
    ------
    DomainError
        If a power or height is below zero.

    Notes
    -----
    Top-hat profiles and constant entrainment [1]_:

    .. math:: Q = \tfrac{6}{5} \alpha \left(\tfrac{9}{10} \alpha\right)^{1/3} \pi^{2/3} B^{1/3} (z + z_v)^{5/3},
              \qquad B = \frac{g P}{\rho c_p T}

    *Valid for* turbulent plumes in still air of even temperature; over a bulb of 50 W that is from about 10 cm up.

    Examples
    --------
    Litres a second, 20 and 60 cm above 20 W:

    >>> (plume_flow(20.0, [0.2, 0.6]) * 1000).round(1).tolist()
    [1.4, 5.5]

    References
    ----------
    .. [1] B. R. Morton, G. I. Taylor and J. S. Turner, "Turbulent gravitational convection from maintained and
       instantaneous sources", *Proceedings of the Royal Society A* 234:1-23, 1956 (from memory).
    """
    watts, above = np.asarray(power, dtype=np.float64), np.asarray(height, dtype=np.float64)
    if bool((watts < 0).any()) or bool((above < 0).any()):
        msg = "power and height must not be below zero"
        raise DomainError(msg)
    mixing = mixing or Mixing()
    buoyancy = 9.80665 * watts / (ONE_ATMOSPHERE / (287.042 * temperature) * 1006.0 * temperature)
    factor = plume_flow_factor(mixing.entrainment)
    return np.asarray(factor * np.cbrt(buoyancy) * (above + mixing.virtual_origin) ** (5 / 3))


def plume_excess(
    power: ArrayLike, height: ArrayLike, temperature: float = 300.0, mixing: Mixing | None = None
) -> Floats:
    """Mean excess of a plume over the air around it.

    Parameters
    ----------
    power : array_like of float
        Heat that the source gives to the air. [W]
    height : array_like of float
        Above the source. [m]
    temperature : float, default 300
        Of the air around. [K]
    mixing : Mixing, optional
        Entrainment and virtual origin. [-]

    Returns
    -------
    excess : array of float
        All of the power, spread over the plume's flow. [K]

    Raises
    ------
    DomainError
        If a power or height is below zero.

    Notes
    -----
    As :func:`plume_flow` [1]_. In the middle of a real plume it is about twice as much.

    Examples
    --------
    >>> plume_excess(20.0, [0.2, 0.6]).round(1).tolist()
    [11.9, 3.1]

    References
    ----------
    .. [1] Morton, Taylor and Turner 1956, as above (from memory).
    """
    flow = plume_flow(power, height, temperature, mixing)
    capacity = ONE_ATMOSPHERE / (287.042 * temperature) * 1006.0
    return np.divide(power, capacity * flow, out=np.zeros_like(flow), where=flow > 0)


def plume_shapes(edges: Floats, source: ArrayLike, mixing: Mixing) -> tuple[Ints, Floats]:
    """How much of its flow a plume takes in from each layer, but for its strength.

    Parameters
    ----------
    edges : (n + 1,) float
        Heights between layers. [m]
    source : (m,) float
        Heights of the sources. [m]
    mixing : Mixing
        Virtual origin. [-]

    Returns
    -------
    layer : (m,) int
        In which each source is. [-]
    shape : (m, n) float
        Differences of (z + virtual origin)^(5/3) over the layers from the source up; what the plume has at its
        source is taken in there. Metres to the power 5/3. [-]

    Notes
    -----
    The increments of the flow of :func:`plume_flow` [1]_.

    Examples
    --------
    >>> layer, shape = plume_shapes(np.array([0.0, 0.5, 1.0]), [0.2], Mixing())
    >>> layer.tolist(), shape.round(3).tolist()
    ([0], [[0.236, 0.635]])

    References
    ----------
    .. [1] Morton, Taylor and Turner 1956, as above (from memory).
    """
    heights = np.clip(np.array(source, dtype=np.float64), edges[0], edges[-1])
    layer = np.clip(np.searchsorted(edges, heights, side="right") - 1, 0, len(edges) - 2).astype(np.int64)
    above = np.clip(edges[None, :] - heights[:, None], 0.0, None) + mixing.virtual_origin
    shape = np.diff(above ** (5 / 3), axis=1)
    shape[np.arange(len(layer)), layer] += mixing.virtual_origin ** (5 / 3)
    return layer, shape


@dataclass(frozen=True, slots=True)
class Settled:
    """Air that has come to rest.

    Attributes
    ----------
    temperature : (n,) float
        Of the layers. [K]
    flows : (o,) float
        Through the openings, out above zero. [m3 s-1]
    leaving : float
        Heat that goes out with them. [W]
    swapped : float
        Flow each way through level openings. [m3 s-1]
    given : (s,) float
        Heat that each surface gives the air. [W]
    """

    temperature: Floats
    flows: Floats
    leaving: float
    swapped: float
    given: Floats


def settled_air(
    edges: ArrayLike,
    floor: float,
    vents: Vents,
    source: ArrayLike,
    power: ArrayLike,
    film: ArrayLike,
    warmth: ArrayLike,
    outside: float,
    mixing: Mixing | None = None,
    *,
    step: float = 20.0,
    steps: int = 3000,
) -> Settled:
    r"""Let the air of a box come to rest between steady sources and surfaces.

    Parameters
    ----------
    edges : (n + 1,) float
        Heights between layers, from the floor up. [m]
    floor : float
        Area of each layer. [m2]
    vents : Vents
        Openings to the room. [-]
    source, power : (m,) float
        Height of each source of heat, and what it gives to the air. [m], [W]
    film : (s, n) float
        Conductance from each surface to each layer. [W K-1]
    warmth : (s,) float
        Temperature of each surface. [K]
    outside : float
        Of the room. [K]
    mixing : Mixing, optional
        Of plumes and layers. [-]
    step : float, default 20
        Of time. [s]
    steps : int, default 3000
        How many. [-]

    Returns
    -------
    settled : Settled
        After that time. [-]

    Raises
    ------
    DomainError
        If there are fewer than two edges, they do not rise, or shapes disagree.

    Notes
    -----
    One step is implicit in temperatures, with flows of the step before: exact at rest. Heat is conserved to rounding.
    The middle values of `Mixing` and the layers with openings are held against emptying filling boxes [1]_.

    Examples
    --------
    20 W at the floor of a sealed box of 0.86 m2 whose walls lose 10 W/K:

    >>> edges = np.linspace(0.0, 1.2, 11)
    >>> air = settled_air(edges, 0.86, Vents.none(), [0.0], [20.0], np.full((1, 10), 1.0), [294.0], 294.0)
    >>> (air.temperature[[0, 4, 9]] - 294.0).round(1).tolist()
    [0.7, 1.9, 3.2]

    References
    ----------
    .. [1] P. F. Linden, G. F. Lane-Serff and D. A. Smeed, "Emptying filling boxes: the fluid mechanics of natural
       ventilation", *Journal of Fluid Mechanics* 212:309-335, 1990.
    """
    heights = np.array(edges, dtype=np.float64)
    if len(heights) < 2 or bool((np.diff(heights) <= 0).any()):
        msg = f"edges must rise; got {heights.tolist()}"
        raise DomainError(msg)
    n = len(heights) - 1
    films = np.array(film, dtype=np.float64).reshape(-1, n)
    surfaces = np.array(warmth, dtype=np.float64).reshape(-1)
    if len(films) != len(surfaces):
        msg = f"film and warmth must be of the same surfaces; got {len(films)} and {len(surfaces)}"
        raise DomainError(msg)
    mixing = mixing or Mixing()
    layer, shape = plume_shapes(heights, source, mixing)
    watts = np.array(power, dtype=np.float64)
    temperature, vapour = np.full(n, outside), np.zeros(n)
    flows, given = np.zeros(len(vents.layer)), np.zeros(len(surfaces))
    touched, work = spans(films), workspace(n, len(layer), len(vents.layer))
    neutral, leaving, swapped = 0.0, 0.0, 0.0
    for _ in range(steps):
        neutral, leaving, swapped = air_step(
            (heights, np.diff(heights) * floor),
            vents.arrays(),
            (layer, shape),
            (mixing.entrainment, mixing.conductivity, floor),
            (outside, 0.0, ONE_ATMOSPHERE),
            watts,
            (films, np.full(len(surfaces), -1, dtype=np.int64), surfaces, touched),
            (step, neutral),
            (temperature, vapour),
            (flows, given),
            work,
        )
    return Settled(temperature, flows, float(leaving), float(swapped), given)
