"""A box as heat sees it: layers of air, surfaces, what lies behind them, lamps, sun and thermostats."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.air_layers import Mixing, Vents
from sunfleck.physics.conduction import STEFAN_BOLTZMANN
from sunfleck.physics.convection import FilmLaw
from sunfleck.physics.long_wave import GreyExchange

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

STEP = 30.0
DAY = 86_400.0
STEPS = round(DAY / STEP)
# Steps are stable up to 1; a surface that answers within a step is made a little heavier. [-]
STABLE = 0.8
# The steepest that things inside are coupled: hottest surface, and film of a surface far warmer than the air.
HOTTEST = 360.0
STRONGEST_FILM = 12.0


def film_row(warm: FilmLaw, cool: FilmLaw) -> Floats:
    """One row of `Surfaces.law`.

    Parameters
    ----------
    warm, cool : FilmLaw
        When the surface is warmer than the air, and when it is cooler. [W m-2 K-1]

    Returns
    -------
    row : (8,) float
        Their numbers. [W m-2 K-1]

    """
    return np.array([x for law in (warm, cool) for x in (law.a, law.b, law.n, law.floor)])


@dataclass(frozen=True, slots=True)
class Surfaces:
    """What faces the inside, each of one temperature.

    Attributes
    ----------
    contact : (s, n) float
        Area that each has in each layer of air. [m2]
    law : (s, 8) float
        Film coefficient: four numbers of a :class:`sunfleck.physics.convection.FilmLaw` for when it is warmer than
        the air, then four for when it is cooler. [W m-2 K-1]
    feed : (s,) float
        Height at which its warmth rises as a plume; NaN where it warms the air beside it. [m]
    grey : GreyExchange
        Long-wave exchange between them. [m2]
    first : (s + 1,) int
        Where the cells of each begin; the first cell is the surface itself. [-]
    capacity : (c,) float
        Heat capacity of the cells. [J K-1]
    onward : (c,) float
        Conductance to the next cell of the same surface; of a last cell not used. [W K-1]
    to_room : (s,) float
        From the last cell to the room. [W K-1]
    """

    contact: Floats
    law: Floats
    feed: Floats
    grey: GreyExchange
    first: Ints
    capacity: Floats
    onward: Floats
    to_room: Floats

    def __len__(self) -> int:
        return len(self.feed)

    @property
    def fronts(self) -> Ints:
        """Cells that are surfaces, (s,). [-]"""
        return self.first[:-1]

    def steadied(self, step: float = STEP) -> Surfaces:
        """The same with capacities no smaller than a step of time can follow.

        Parameters
        ----------
        step : float
            Of time. [s]

        Returns
        -------
        surfaces : Surfaces
            Leaves and thin panes that answer within less than a step answer within about one.
        """
        pull = np.zeros(len(self.capacity))
        last = self.first[1:] - 1
        inner = np.setdiff1d(np.arange(len(pull)), last)
        pull[inner] += self.onward[inner]
        pull[inner + 1] += self.onward[inner]
        pull[last] += self.to_room
        seen = self.grey.between.sum(axis=1) + self.grey.outside
        pull[self.fronts] += 4 * STEFAN_BOLTZMANN * HOTTEST**3 * seen + STRONGEST_FILM * self.contact.sum(
            axis=1
        )
        heavier = np.maximum(self.capacity, pull * step / STABLE)
        return Surfaces(
            self.contact, self.law, self.feed, self.grey, self.first, heavier, self.onward, self.to_room
        )


@dataclass(frozen=True, slots=True)
class Lamps:
    """Sources of heat that timers switch.

    Attributes
    ----------
    timer : (steps, f) float
        Level that the timer and the plan's dimming leave, 0 to 1, at each step of the day. [-]
    radiant : (f,) float
        What each radiates at full level. [W]
    into_air : (f,) float
        What it gives to the air inside at full level. [W]
    height : (f,) float
        Where it does. [m]
    share : (f, s) float
        Share of its radiation that each surface takes up; the rest leaves the box. [-]
    """

    timer: Floats
    radiant: Floats
    into_air: Floats
    height: Floats
    share: Floats

    def __len__(self) -> int:
        return len(self.radiant)


@dataclass(frozen=True, slots=True)
class Thermostats:
    """What drives lamps beside their timers, one a lamp.

    Attributes
    ----------
    kind : (f,) int
        0 none, 1 on and off, 2 pulse, 3 dimming. [-]
    target, band : (f,) float
        Temperature held, and the width from on to off or from full to nothing. [K]
    cut_out : (f,) float
        Reading above which an independent cut-out opens; infinite where there is none. [K]
    lag : (2 f,) float
        Time constant of each probe: those of the thermostats, then those of the cut-outs. [s]
    of_layers : (2 f, n) float
        Weight of each layer in what a probe reads. [-]
    of_surfaces : (2 f, s) float
        Weight of each surface in it; the weights of both add up to 1. [-]
    gained : (2 f, f) float
        What each lamp at full level adds to the reading by shining on the probe. [K]
    """

    kind: Ints
    target: Floats
    band: Floats
    cut_out: Floats
    lag: Floats
    of_layers: Floats
    of_surfaces: Floats
    gained: Floats

    @classmethod
    def none(cls, lamps: int, layers: int, surfaces: int) -> Thermostats:
        """Timers only."""
        return cls(
            np.zeros(lamps, dtype=np.int64),
            np.full(lamps, 300.0),
            np.ones(lamps),
            np.full(lamps, np.inf),
            np.full(2 * lamps, 300.0),
            np.full((2 * lamps, layers), 1.0 / layers),
            np.zeros((2 * lamps, surfaces)),
            np.zeros((2 * lamps, lamps)),
        )


@dataclass(frozen=True, slots=True)
class Sun:
    """Sun that comes in through panes.

    Attributes
    ----------
    power : (steps, q) float
        Through each, and taken up inside or in the pane. [W]
    share : (q, s) float
        Share of it that each surface takes up. [-]
    """

    power: Floats
    share: Floats

    @classmethod
    def none(cls, surfaces: int, steps: int = STEPS) -> Sun:
        """No window."""
        return cls(np.zeros((steps, 0)), np.zeros((0, surfaces)))


@dataclass(frozen=True, slots=True)
class Room:
    """The room over a day.

    Attributes
    ----------
    temperature, humidity : (steps,) float
        At each step: of the air and all that surrounds the box; water by mass over dry air. [K], [-]
    pressure : float
        Of the air. [Pa]
    """

    temperature: Floats
    humidity: Floats
    pressure: float = 101_325.0


@dataclass(frozen=True, slots=True)
class ThermalBox:
    """All that a day needs, in SI units.

    Attributes
    ----------
    edges : (n + 1,) float
        Heights between layers of air. [m]
    volume : (n,) float
        Of the layers. [m3]
    floor : float
        Area through which layers meet. [m2]
    vents : Vents
        Openings to the room.
    mixing : Mixing
        Of plumes and layers.
    surfaces : Surfaces
        What faces the inside.
    lamps : Lamps
        Sources of heat.
    thermostats : Thermostats
        What drives them.
    sun : Sun
        Through panes.
    room : Room
        Around it.

    Raises
    ------
    DomainError
        If shapes disagree, or something is not finite or not positive that must be.
    """

    edges: Floats
    volume: Floats
    floor: float
    vents: Vents
    mixing: Mixing
    surfaces: Surfaces
    lamps: Lamps
    thermostats: Thermostats
    sun: Sun
    room: Room

    def __post_init__(self) -> None:
        n, s, f = len(self.volume), len(self.surfaces), len(self.lamps)
        steps = len(self.room.temperature)
        expected = {
            "edges": (self.edges, (n + 1,)),
            "contact": (self.surfaces.contact, (s, n)),
            "law": (self.surfaces.law, (s, 8)),
            "grey": (self.surfaces.grey.between, (s, s)),
            "timer": (self.lamps.timer, (steps, f)),
            "share": (self.lamps.share, (f, s)),
            "of_layers": (self.thermostats.of_layers, (2 * f, n)),
            "of_surfaces": (self.thermostats.of_surfaces, (2 * f, s)),
            "gained": (self.thermostats.gained, (2 * f, f)),
            "sun power": (self.sun.power, (steps, len(self.sun.share))),
            "room temperature": (self.room.temperature, (steps,)),
            "room humidity": (self.room.humidity, (steps,)),
        }
        for name, (values, shape) in expected.items():
            if values.shape != shape:
                msg = f"{name} must have the shape {shape}; got {values.shape}"
                raise DomainError(msg)
            if not bool(np.isfinite(values).all()):
                msg = f"{name} must be finite"
                raise DomainError(msg)
        if bool((self.volume <= 0).any()) or bool((self.surfaces.capacity <= 0).any()):
            msg = "layers must have a volume and cells a heat capacity"
            raise DomainError(msg)
        if self.surfaces.first[-1] != len(self.surfaces.capacity):
            msg = "the last number of `first` must be the number of cells"
            raise DomainError(msg)
