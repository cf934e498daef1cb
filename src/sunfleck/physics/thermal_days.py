"""A day of a box, and the day that repeats itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.air_layers import plume_shapes
from sunfleck.physics.day_kernel import day_kernel
from sunfleck.physics.thermal_box import STEP, Room, ThermalBox

Floats = NDArray[np.float64]

STEPS_A_ROW = 2
# Start and end of a periodic day differ by no more. [K]
PERIODIC = 0.02
MOST_DAYS = 60
# How many days the acceleration looks back, and how far it may go in one stride. [-], [K]
LOOKED_BACK = 6
LONGEST_STRIDE = 40.0
SUMS = ("by_openings", "through_walls", "to_air", "by_long_wave", "flow", "swapped")


@dataclass(frozen=True, slots=True)
class State:
    """Temperatures at one moment.

    Attributes
    ----------
    air, vapour : (n,) float
        Of the layers; water by mass over dry air. [K], [-]
    cells : (c,) float
        Of surfaces and what lies behind them. [K]
    control : (f, 4) float
        What each thermostat's probe reads, the level asked for, whether the cut-out is open, what its probe reads. [K]
    """

    air: Floats
    vapour: Floats
    cells: Floats
    control: Floats

    def copy(self) -> State:
        """The same, to be written on."""
        return State(self.air.copy(), self.vapour.copy(), self.cells.copy(), self.control.copy())

    @property
    def warmth(self) -> Floats:
        """All temperatures in a row. [K]"""
        return np.concatenate([self.air, self.cells, self.control[:, 0], self.control[:, 3]])

    def with_warmth(self, warmth: Floats) -> State:
        """The same with other temperatures, in the order of `warmth`."""
        sizes = [len(self.air), len(self.cells), len(self.control)]
        air, cells, probes, cut_outs = np.split(warmth, np.cumsum(sizes))
        control = self.control.copy()
        control[:, 0], control[:, 3] = probes, cut_outs
        return State(air.copy(), self.vapour.copy(), cells.copy(), control)

    def carried_over(self, was: Room, now: Room) -> State:
        """The same in another room: all of it as much warmer and moister as that is on average.

        Where films do not change with temperature and no thermostat acts, a box repeats itself again at once: its
        excess over the room stays. Elsewhere it is a guess to start from.
        """
        found = self.with_warmth(self.warmth + (now.temperature.mean() - was.temperature.mean()))
        found.vapour[:] += now.humidity.mean() - was.humidity.mean()
        return found


@dataclass(frozen=True, slots=True)
class Day:
    """A day as it went, a row a minute.

    Attributes
    ----------
    start, end : State
        Before the first and after the last step.
    air, vapour : (m, n) float
        Of the layers at the end of each minute. [K], [-]
    cells : (m, c) float
        Of surfaces and what lies behind. [K]
    level : (m, f) float
        Of the lamps, mean of each minute. [-]
    sums : (m, 6) float
        Means of each minute: heat that leaves by openings, through walls, that surfaces give the air, that leaves
        by long wave [W]; air that goes out through openings, and that level openings swap [m3 s-1].
    drift : float
        Greatest difference between start and end. [K]
    days : int
        How many days were run to find it. [-]
    """

    start: State
    end: State
    air: Floats
    vapour: Floats
    cells: Floats
    level: Floats
    sums: Floats
    drift: float
    days: int

    def sum_of(self, name: str) -> Floats:
        """One column of `sums` by its name in `SUMS`."""
        return np.asarray(self.sums[:, SUMS.index(name)])


def resting_state(box: ThermalBox) -> State:
    """The state of a box in which nothing has happened: all of it as warm and moist as the room is on average.

    Parameters
    ----------
    box : ThermalBox
        The box. [K]

    Returns
    -------
    state : State
        Thermostats ask for heat, cut-outs are closed. [K]

    """
    warmth, moist = float(box.room.temperature.mean()), float(box.room.humidity.mean())
    control = np.zeros((len(box.lamps), 4))
    control[:, [0, 3]], control[:, 1] = warmth, 1.0
    n = len(box.volume)
    return State(np.full(n, warmth), np.full(n, moist), np.full(len(box.surfaces.capacity), warmth), control)


def run_day(box: ThermalBox, start: State) -> Day:
    r"""Follow a box through a day.

    Parameters
    ----------
    box : ThermalBox
        The box. [-]
    start : State
        Temperatures at midnight. [K]

    Returns
    -------
    day : Day
        Minute by minute. [K]

    Raises
    ------
    DomainError
        If `start` is of another box.

    Notes
    -----
    Surfaces and what lies behind take explicit steps of 30 s; the air, which follows within a minute, an implicit
    one in each [1]_. What one side gives the other takes: heat is neither made nor lost but by rounding.

    Examples
    --------
    A box of one surface of 8 W/K and a lamp of 40 W:

    >>> from sunfleck.physics.thermal_box import *
    >>> from sunfleck.physics.convection import FilmLaw
    >>> from sunfleck.physics.long_wave import GreyExchange
    >>> from sunfleck.physics.air_layers import Mixing, Vents
    >>> film, none = FilmLaw(2.0, 0.0, 0.0), np.zeros(1)
    >>> box = ThermalBox(np.array([0.0, 1.0]), np.ones(1), 1.0, Vents.none(), Mixing(),
    ...     Surfaces(np.ones((1, 1)), film_row(film, film)[None, :], np.full(1, np.nan), GreyExchange(np.zeros((1, 1)), none),
    ...         np.array([0, 1]), np.array([2e4]), none, np.array([8.0])),
    ...     Lamps(np.ones((STEPS, 1)), np.array([40.0]), none, none, np.ones((1, 1))),
    ...     Thermostats.none(1, 1, 1), Sun.none(1), Room(np.full(STEPS, 294.0), np.zeros(STEPS)))
    >>> round(float(run_day(box, resting_state(box)).air[-1, 0]) - 294.0, 2)
    5.0

    References
    ----------
    .. [1] J. A. Clarke, *Energy Simulation in Building Design*: finite volumes with explicit and implicit terms (from
       memory).
    """
    n, c, f = len(box.volume), len(box.surfaces.capacity), len(box.lamps)
    if (len(start.air), len(start.cells), len(start.control)) != (n, c, f):
        msg = f"start must have {n} layers, {c} cells and {f} probes"
        raise DomainError(msg)
    surfaces, lamps, thermostats = box.surfaces, box.lamps, box.thermostats
    feeding = np.flatnonzero(np.isfinite(surfaces.feed))
    feeds = np.full(len(surfaces), -1, dtype=np.int64)
    feeds[feeding] = f + np.arange(len(feeding))
    heights = np.concatenate([lamps.height, surfaces.feed[feeding]])
    rows = len(box.room.temperature) // STEPS_A_ROW
    air, vapour, cells = np.zeros((rows, n)), np.zeros((rows, n)), np.zeros((rows, c))
    level, sums = np.zeros((rows, f)), np.zeros((rows, len(SUMS)))
    end = start.copy()
    day_kernel(
        (box.edges, box.volume),
        box.vents.arrays(),
        plume_shapes(box.edges, heights, box.mixing),
        (box.mixing.entrainment, box.mixing.conductivity, box.floor),
        (surfaces.contact, surfaces.law, feeds, surfaces.grey.between, surfaces.grey.outside),
        (surfaces.first, surfaces.capacity, surfaces.onward, surfaces.to_room),
        (lamps.timer, lamps.radiant, lamps.into_air, lamps.share),
        (box.sun.power, box.sun.share),
        (
            thermostats.kind,
            thermostats.target,
            thermostats.band,
            thermostats.cut_out,
            thermostats.lag,
            thermostats.of_layers,
            thermostats.of_surfaces,
            thermostats.gained,
        ),
        (box.room.temperature, box.room.humidity, box.room.pressure, STEP, STEPS_A_ROW),
        (end.air, end.vapour, end.cells, end.control),
        (air, vapour, cells, level, sums),
    )
    drift = float(np.abs(end.warmth - start.warmth).max())
    return Day(start, end, air, vapour, cells, level, sums, drift, 1)


def periodic_day(
    box: ThermalBox, start: State | None = None, tolerance: float = PERIODIC, most: int = MOST_DAYS
) -> Day:
    r"""Find the day that ends as it began.

    Parameters
    ----------
    box : ThermalBox
        The box. [-]
    start : State, optional
        Where to begin, as the day of the month before; by default everything as the room. [K]
    tolerance : float, default 0.02
        How far start and end may differ, ground included. [K]
    most : int, default 60
        Days to run at most. [-]

    Returns
    -------
    day : Day
        The last one run; its `drift` tells whether it repeats itself. [K]

    Raises
    ------
    DomainError
        If `start` is of another box or a number is not above zero.

    Notes
    -----
    Deep ground settles by about one e-fold a day. Each new start is therefore taken from the days before as the one
    whose change would be least if changes were linear in starts (Anderson's acceleration [1]_), cut to 40 K, after
    two days run one after the other.

    Examples
    --------
    A box of one surface of 8 W/K and a lamp of 40 W:

    >>> from sunfleck.physics.thermal_box import *
    >>> from sunfleck.physics.convection import FilmLaw
    >>> from sunfleck.physics.long_wave import GreyExchange
    >>> from sunfleck.physics.air_layers import Mixing, Vents
    >>> film, none = FilmLaw(2.0, 0.0, 0.0), np.zeros(1)
    >>> box = ThermalBox(np.array([0.0, 1.0]), np.ones(1), 1.0, Vents.none(), Mixing(),
    ...     Surfaces(np.ones((1, 1)), film_row(film, film)[None, :], np.full(1, np.nan), GreyExchange(np.zeros((1, 1)), none),
    ...         np.array([0, 1]), np.array([2e4]), none, np.array([8.0])),
    ...     Lamps(np.ones((STEPS, 1)), np.array([40.0]), none, none, np.ones((1, 1))),
    ...     Thermostats.none(1, 1, 1), Sun.none(1), Room(np.full(STEPS, 294.0), np.zeros(STEPS)))
    >>> day = periodic_day(box)
    >>> day.days, day.drift < 0.02
    (2, True)

    References
    ----------
    .. [1] D. G. Anderson, "Iterative procedures for nonlinear integral equations", *Journal of the ACM* 12:547-560,
       1965 (from memory).
    """
    if tolerance <= 0 or most < 1:
        msg = f"tolerance and most must be above zero; got {tolerance} and {most}"
        raise DomainError(msg)
    state = resting_state(box) if start is None else start
    starts: list[Floats] = []
    ends: list[Floats] = []
    best: Day | None = None
    for number in range(1, most + 1):
        day = run_day(box, state)
        if best is None or day.drift <= best.drift:
            best = day
        if day.drift <= tolerance:
            break
        starts.append(day.start.warmth)
        ends.append(day.end.warmth)
        state = day.end
        if number > 2:
            state = day.end.with_warmth(_least_change(starts[-LOOKED_BACK:], ends[-LOOKED_BACK:]))
    assert best is not None
    return Day(
        best.start, best.end, best.air, best.vapour, best.cells, best.level, best.sums, best.drift, number
    )


def _least_change(starts: list[Floats], ends: list[Floats]) -> Floats:
    """The end that belongs to the combination of starts with least change."""
    before, after = np.array(starts), np.array(ends)
    change = after - before
    steps = np.diff(change, axis=0)
    weights, *_ = np.linalg.lstsq(steps.T, change[-1], rcond=1e-6)
    found = after[-1] - weights @ np.diff(after, axis=0)
    return np.asarray(np.clip(found, after[-1] - LONGEST_STRIDE, after[-1] + LONGEST_STRIDE))
