"""Readings at the enclosure as the study takes them: in SI units, corrected, with their own errors."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Quantity = Literal["uvi", "lux", "ppfd", "surface", "air", "humidity"]
OF_LIGHT: tuple[Quantity, ...] = ("uvi", "lux", "ppfd")
OF_WARMTH: tuple[Quantity, ...] = ("surface", "air")
Hold = Literal["up", "to the light"]

# One standard deviation. Common practice, no source: a hand-held meter is 10 % off, the same way at every reading; two
# readings with it at one place differ by 5 %; a thermometer is 0.5 K off and as much apart.
METER, SCATTER = 0.10, 0.05
THERMOMETER = 0.5
# A lamp that has not burned for so long gives less than it will: what is read then is not used. Common practice, no
# source. [s]
WARM = 1800.0
# A display of one decimal that shows nothing may mean so little, give or take a factor of two. [-]
NOTHING, ABOUT_NOTHING = {"uvi": 0.05, "lux": 5.0, "ppfd": 0.5}, 0.7


@dataclass(frozen=True, eq=False)
class MeterReading:
    """One value read at one place.

    Attributes
    ----------
    survey : str
        The meter round it belongs to.
    station : str
        Where, in the reader's words.
    point : (3,) float
        Where. [m]
    quantity : str
        ``uvi``, ``lux``, ``ppfd``, ``surface``, ``air`` or ``humidity``.
    value : float
        What was read, its meter's known error taken off. [UVI], [lx], [umol m-2 s-1], [K] or [-]
    hold : str
        How the sensor was held: ``up``, or ``to the light``.
    meter : str
        Name of the instrument.
    shared : float
        One standard deviation of what all readings with that meter share: of the logarithm, or in kelvin. [-], [K]
    own : float
        One standard deviation of what is this reading's own, the hand left out. [-], [K]
    lit : tuple of str
        Fixtures that were on.
    levels : tuple of (str, float)
        Level of those of which the survey says it; the others burned at full level. [-]
    lifted : bool
        Whether meshes were lifted away.
    room : float or None
        Of the room at that time. [K]
    burned : float
        How long the lamps had been on. [s]
    where : str
        ``file:line``.
    note : str
        What its reader wrote beside it.
    """

    survey: str
    station: str
    point: NDArray[np.float64]
    quantity: Quantity
    value: float
    hold: Hold
    meter: str
    shared: float
    own: float
    lit: tuple[str, ...]
    lifted: bool
    room: float | None
    burned: float
    where: str
    note: str = ""
    levels: tuple[tuple[str, float], ...] = ()

    @property
    def at_levels(self) -> tuple[tuple[str, float], ...]:
        """Fixtures that were on with their levels."""
        stated = dict(self.levels)
        return tuple((name, stated.get(name, 1.0)) for name in self.lit)

    @property
    def of_light(self) -> bool:
        """Whether it is a reading of light."""
        return self.quantity in OF_LIGHT

    @property
    def measured(self) -> float:
        """As it is fitted: the logarithm of light, kelvin of a temperature."""
        if not self.of_light:
            return self.value
        return float(np.log(max(self.value, NOTHING[self.quantity])))

    @property
    def error(self) -> float:
        """One standard deviation of what is its own, wider of a display at nothing."""
        if not self.of_light:
            return self.own
        nothing = ABOUT_NOTHING if self.value < NOTHING[self.quantity] else 0.0
        return float(np.hypot(self.own, nothing))
