"""What grows in an enclosure and what it grows in: plants and substrates."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from sunfleck.library.fields import TEXT, band, choice, quantity, whole
from sunfleck.library.values import Sourced

PLANT_LIGHT = band("photon_flux_density", high=2500.0)
SHARES = band("fraction", high=1.0)
DENSITIES = band("density", low=5.0, high=3000.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plant:
    """A plant as it is sold; a plan names it by its species.

    Light is that of 12 hours a day. What a leaf reflects is a finish, not a matter of the species.

    Attributes
    ----------
    species, common_name : Sourced
        Its scientific and its English name.
    climate : Sourced
        ``humid``, ``humid-temperate``, ``temperate``, ``temperate-arid`` or ``arid``.
    habit : Sourced
        ``climber``, ``trailer``, ``mat``, ``clump``, ``rosette``, ``upright``, ``shrub`` or ``tree``.
    rooting : Sourced
        ``rooted`` in the ground or a pot, ``mounted`` on wood or a panel, or ``either``.
    light_to_hold : Sourced or None
        Least light at which it lives on, and what is advised for that, without growing much. [umol m-2 s-1]
    light_to_grow : Sourced or None
        Light at which it grows as it should. [umol m-2 s-1]
    light_to_colour : Sourced or None
        Light at which its leaves colour; None where it does not, or nobody said. [umol m-2 s-1]
    least_humidity : Sourced
        Relative humidity by day below which leaves suffer. [-]
    mature_height, mature_spread : Sourced
        Size it reaches in an enclosure or a room if nobody trims it. [m]
    root_depth : Sourced or None
        Ground it needs; None for what is mounted. [m]
    growth : Sourced
        ``slow``, ``medium`` or ``fast``.
    toxicity : Sourced
        0 no harm known, 1 irritates, 2 harms who eats of it, 3 dangerous. [-]
    toxin, toxic_to : Sourced or None
        What does it, and in whom it was seen: that is people, cats and dogs, hardly ever a reptile.
    sharp : Sourced or None
        What of it pricks or cuts.
    """

    species: Annotated[Sourced, TEXT]
    common_name: Annotated[Sourced, TEXT]
    climate: Annotated[Sourced, choice("humid", "humid-temperate", "temperate", "temperate-arid", "arid")]
    habit: Annotated[
        Sourced, choice("climber", "trailer", "mat", "clump", "rosette", "upright", "shrub", "tree")
    ]
    rooting: Annotated[Sourced, choice("rooted", "mounted", "either")]
    light_to_hold: Annotated[Sourced | None, PLANT_LIGHT] = None
    light_to_grow: Annotated[Sourced | None, PLANT_LIGHT] = None
    light_to_colour: Annotated[Sourced | None, PLANT_LIGHT] = None
    least_humidity: Annotated[Sourced, quantity("fraction", high=1.0)]
    mature_height: Annotated[Sourced, quantity("length", low=0.01, high=5.0)]
    mature_spread: Annotated[Sourced, quantity("length", low=0.01, high=5.0)]
    root_depth: Annotated[Sourced | None, quantity("length", low=0.01, high=1.0)] = None
    growth: Annotated[Sourced, choice("slow", "medium", "fast")]
    toxicity: Annotated[Sourced, whole(0, 3)]
    toxin: Annotated[Sourced | None, TEXT] = None
    toxic_to: Annotated[Sourced | None, TEXT] = None
    sharp: Annotated[Sourced | None, TEXT] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Substrate:
    """An ingredient of the ground, as it lies loosely filled; lowest and highest of what was found.

    Water and air depend on how high the ground stands: a shallow tray of the same mix is wetter than a tall pot.

    Attributes
    ----------
    name : Sourced
        Its name for people.
    dry_density : Sourced
        Dry mass over the volume it fills. [kg m-3]
    water_capacity : Sourced
        Water that stays after free draining, over that volume. [-]
    air_filled : Sourced
        Air that is left then, over that volume. [-]
    total_pores : Sourced or None
        Water and air together when nothing is left dry: what a flood can fill. [-]
    wet_density : Sourced
        Drained, that is dry mass and water held, over that volume: the load on shelf and stand. [kg m-3]
    settling : Sourced or None
        Share of its height that it loses in the first months. [-]
    handling : Sourced or None
        What has to be done with it, or must not be.
    """

    name: Annotated[Sourced, TEXT]
    dry_density: Annotated[Sourced, DENSITIES]
    water_capacity: Annotated[Sourced, SHARES]
    air_filled: Annotated[Sourced, SHARES]
    total_pores: Annotated[Sourced | None, SHARES] = None
    wet_density: Annotated[Sourced, DENSITIES]
    settling: Annotated[Sourced | None, SHARES] = None
    handling: Annotated[Sourced | None, TEXT] = None
