"""What is decided of an enclosure before anything has its place: lamps, heights, vents, walls, hours."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

Habit = Literal["ledge", "limb", "floor"]
Hours = tuple[str, str]


@dataclass(frozen=True)
class Tubes:
    """UV tubes side by side, or one line of light.

    Attributes
    ----------
    lamps : tuple of str
        One id each.
    over : float
        Their axis over the back of the animal where it basks. [m]
    travel : float
        Of their brackets; 0 where none is needed. [m]
    """

    lamps: tuple[str, ...]
    over: float
    travel: float = 0.0


@dataclass(frozen=True)
class Floods:
    """Lamps the animal basks under.

    Attributes
    ----------
    lamp : str
        Which, all alike.
    count : int
        How many. [-]
    over : float
        Their openings over the back of the animal. [m]
    target : float
        What the thermostat keeps its probe at. [K]
    probe : float
        Its probe over the back, in the beam: there its bead gets as warm as what the animal lies on. [m]
    """

    lamp: str
    count: int
    over: float
    target: float
    probe: float


@dataclass(frozen=True)
class Heater:
    """Dark heat that a thermostat keeps the air by.

    Attributes
    ----------
    lamp : str
        Which.
    count : int
        How many. [-]
    target : float
        What its probe is kept at. [K]
    by_day : bool
        Whether by day only.
    all_winter : bool
        Whether by night too in the cold half of the year, so that walls and ground stay warm.
    """

    lamp: str
    count: int
    target: float
    by_day: bool
    all_winter: bool = False


@dataclass(frozen=True)
class Design:
    """All that is decided; places follow from it.

    Attributes
    ----------
    habit : str
        ``ledge`` (basks on the ground), ``limb`` (basks on a branch) or ``floor`` (does not bask, lives on the ground).
    above : bool
        Whether lamps hang above the lid, out of reach, or inside.
    window : bool
        Whether what they shine through is a film that keeps warm air in, or a mesh.
    rest : float
        Top of the ledge, or middle of the limb, over the ground. [m]
    tubes : Tubes or None
        UV.
    floods : Floods or None
        Basking.
    heater, night_heater : Heater or None
        Warm end by day; night.
    bar : str
        Id of a lamp for daylight and plants; empty without one.
    board, lining : int
        Which of the sizes that boards, and linings, are sold in; a lining of -1 is none. [-]
    vent : float
        How long the vents in the sides are, as a share of the depth. [-]
    strips : bool
        Whether the laps of doors are closed by strips.
    fan : str
        Id of a fan high in a wall; empty without one.
    light_hours, heat_hours, winter_light, winter_heat : (str, str)
        When lamps are lit.
    """

    habit: Habit
    above: bool
    window: bool
    rest: float
    tubes: Tubes | None
    floods: Floods | None
    heater: Heater | None
    night_heater: Heater | None
    bar: str
    board: int
    lining: int
    vent: float
    strips: bool
    fan: str
    light_hours: Hours
    heat_hours: Hours
    winter_light: Hours
    winter_heat: Hours

    def with_heater(self, name: str, heater: Heater | None) -> Design:
        """Another ``heater`` or ``night_heater``."""
        return replace(self, heater=heater) if name == "heater" else replace(self, night_heater=heater)
