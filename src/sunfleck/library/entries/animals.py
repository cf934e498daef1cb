"""A species: what it needs and how large it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from sunfleck.library.fields import (
    FLAG,
    HUMIDITY,
    TEXT,
    UV_INDEX,
    UV_INDEX_RANGE,
    choice,
    number,
    quantity,
    temperature,
    whole,
)
from sunfleck.library.values import Sourced


@dataclass(frozen=True, slots=True, kw_only=True)
class Animal:
    """A species: body, reach and UV targets of a typical adult.

    Attributes
    ----------
    species, common_name : Sourced
        Its scientific and its English name.
    activity : Sourced
        ``diurnal``, ``nocturnal`` or ``crepuscular``.
    basking : Sourced
        Whether it basks; false means that no basking place is wanted.
    snout_vent_typical : Sourced
        Length of head and body of a typical adult. [m]
    back_height : Sourced
        Height of the back above what it stands on, at that length. [m]
    full_stretch : Sourced
        How far from a foothold the back can be brought, as a multiple of head and body. [-]
    leap : Sourced
        How far beyond full stretch it leaps; 0 where it does not. [m]
    reach_class : Sourced
        ``ground``, ``climber-rough`` (claws), ``climber-glass`` (toe pads) or ``leaper``.
    uv_zone : Sourced
        Zone of sun exposure, 1 (shade) to 4 (midday sun). [-]
    uv_zone_field_average, uv_zone_field_maximum : Sourced
        What animals of the zone were found at in sunlight, average and greatest, lowest and highest
        of the zone; to be seen beside the targets, and no targets themselves. [UVI]
    uv_floor : Sourced or None
        Least UV index wanted at the basking place; None where none is needed. [UVI]
    uv_comfort_ceiling, uv_ceiling : Sourced
        Most wanted, and never to be exceeded, at the nearest place it can reach. [UVI]
    uv_retreat : Sourced
        UV index below which a place counts as a retreat without UV. [UVI]
    head_width : Sourced
        At that length. [m]
    mass_typical : Sourced
        Of an adult. [kg]
    kind, family : Sourced
        ``lizard``, ``snake``, ``tortoise`` or ``frog``, and its family by its scientific name.
    diet, keeping, breeding : Sourced
        What it eats; whether it is kept alone, in pairs or in groups; how it breeds, so that who digs gets a lay box
        and who bears live young does not.
    total_length_typical, hatchling_length : Sourced
        Of an adult with its tail, and head and body of a hatchling or froglet. [m]
    basking_spot, warm_end, cool_end, night : Sourced or None
        Temperatures wanted at the basking spot, at the warm and the cool end by day, and by night; lowest and highest.
        No basking spot where none is wanted. [K]
    alarm_above : Sourced or None
        Air warmer than this for hours is an emergency. [K]
    preferred_body, voluntary_body : Sourced or None
        Body temperatures it chooses, and those at which it moves to warmth or away from it. [K]
    field_body : Sourced or None
        Mean body temperature of wild animals, seasons and times of day mixed: no set-point. [K]
    critical_low, critical_high : Sourced or None
        Body temperatures at which it can no longer right itself. Survival limits of a test, no limits to plan to. [K]
    humidity_day, humidity_night : Sourced
        Relative humidity wanted; lowest and highest. [-]
    dries_to : Sourced or None
        Relative humidity to which it must fall for some hours of every day. [-]
    """

    species: Annotated[Sourced, TEXT]
    common_name: Annotated[Sourced, TEXT]
    activity: Annotated[Sourced, choice("diurnal", "nocturnal", "crepuscular")]
    basking: Annotated[Sourced, FLAG]
    snout_vent_typical: Annotated[Sourced, quantity("length", low=0.005, high=5.0)]
    back_height: Annotated[Sourced, quantity("length", low=0.001, high=1.0)]
    full_stretch: Annotated[Sourced, number(0.0, 3.0)]
    leap: Annotated[Sourced, quantity("length", high=5.0)]
    reach_class: Annotated[Sourced, choice("ground", "climber-rough", "climber-glass", "leaper")]
    uv_zone: Annotated[Sourced, whole(1, 4)]
    uv_zone_field_average: Annotated[Sourced, UV_INDEX_RANGE]
    uv_zone_field_maximum: Annotated[Sourced, UV_INDEX_RANGE]
    uv_floor: Annotated[Sourced | None, UV_INDEX] = None
    uv_comfort_ceiling: Annotated[Sourced, UV_INDEX]
    uv_ceiling: Annotated[Sourced, UV_INDEX]
    uv_retreat: Annotated[Sourced, UV_INDEX]
    head_width: Annotated[Sourced, quantity("length", low=0.001, high=0.5)]
    mass_typical: Annotated[Sourced, quantity("mass", low=0.0001, high=200.0)]
    kind: Annotated[Sourced, choice("lizard", "snake", "tortoise", "frog")]
    family: Annotated[Sourced, TEXT]
    diet: Annotated[Sourced, choice("insects", "plants", "insects and plants", "insects and nectar", "meat")]
    keeping: Annotated[Sourced, choice("alone", "pairs", "groups")]
    breeding: Annotated[
        Sourced, choice("digs", "lays under cover", "glues its eggs", "bears live young", "lays in water")
    ]
    total_length_typical: Annotated[Sourced, quantity("length", low=0.01, high=8.0)]
    hatchling_length: Annotated[Sourced, quantity("length", low=0.002, high=1.0)]
    basking_spot: Annotated[Sourced | None, temperature()] = None
    warm_end: Annotated[Sourced, temperature()]
    cool_end: Annotated[Sourced, temperature()]
    night: Annotated[Sourced, temperature()]
    alarm_above: Annotated[Sourced | None, temperature(band=False)] = None
    preferred_body: Annotated[Sourced | None, temperature()] = None
    voluntary_body: Annotated[Sourced | None, temperature()] = None
    field_body: Annotated[Sourced | None, temperature(band=False)] = None
    critical_low: Annotated[Sourced | None, temperature(band=False)] = None
    critical_high: Annotated[Sourced | None, temperature(band=False)] = None
    humidity_day: Annotated[Sourced, HUMIDITY]
    humidity_night: Annotated[Sourced, HUMIDITY]
    dries_to: Annotated[Sourced | None, quantity("fraction", low=0.0, high=1.0)] = None
