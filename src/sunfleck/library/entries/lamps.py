"""A lamp as it comes from the shop."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi
from types import MappingProxyType
from typing import Annotated

from sunfleck.library.fields import (
    FLAG,
    MULTIPLIER,
    SHARE,
    SPREAD_SHARE,
    TEXT,
    UV_INDEX,
    choice,
    number,
    quantity,
)
from sunfleck.library.values import Sourced

LINE_EMITTERS = ("tube", "strip")
CONTROLLERS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "any": ("on-off", "pulse", "dimming"),
        "on-off only": ("on-off",),
        "on-off or pulse": ("on-off", "pulse"),
        "dimming or on-off": ("dimming", "on-off"),
        "timer only": (),
    }
)
"""Thermostats that may drive a lamp, by the words of its `controllers`; a timer may drive every lamp."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """A lamp as it comes from the shop.

    Attributes
    ----------
    name : Sourced
        Its name for people.
    emitter : Sourced
        ``tube`` (in a reflector if it has a `cut_off`, else bare), ``strip``, ``disc`` (a flat face that
        glows evenly, as an LED panel or a heat mat), ``spot`` or ``heater`` (a dome).
    lamp_class : Sourced
        Name of the uncertain factor that all lamps of its class share.
    input_power : Sourced
        Electrical power. [W]
    diameter : Sourced
        Of the tube, the bar's section, the face of a disc, or the opening of a spot or heater. [m]
    length, glowing_length : Sourced or None
        Overall length of a line lamp and of the part of it that glows. [m]
    cut_off : Sourced or None
        Angle from the aim, to either side, beyond which a tube's reflector sends nothing; a bare tube
        has none. [rad]
    beam_angle, field_angle : Sourced or None
        Full angles within which a spot has at least half, and a tenth, of its middle intensity. [rad]
    luminous_flux : Sourced
        Light. [lm]
    photon_flux : Sourced
        Photons from 400 to 700 nm. [umol s-1]
    radiant_power : Sourced
        Radiation of all wavelengths that leaves towards the aim. [W]
    heat_share_air : Sourced
        Share of the input that does not: it warms air, holder and whatever the lamp is fixed to, right at the
        lamp. [-]
    uvi_reference : Sourced
        UV index below the middle of its lowest point, lamp level, warmed up, after 100 h, with its
        reflector, no mesh; 0 where it gives no UV. Its spread is `uv_spread`. [UVI]
    uvi_reference_distance : Sourced
        How far below. [m]
    uv_spread, visible_spread : Sourced
        Spread of the class, for UV and for light with heat; the middle is 1. [-]
    piece_spread : Sourced
        Spread of one lamp within its class; the middle is 1. [-]
    uv_fading : Sourced or None
        Share of its UV that it loses in every 100 hours after the first 100, and the spread of that share;
        None where it is taken not to fade. [-]
    dimmable : Sourced
        Whether a dimmer or dimming thermostat may drive it.
    controllers : Sourced
        Which thermostats may drive it, one of `CONTROLLERS`; of those that may be dimmed all, or all but pulse.
    housing_hot : Sourced
        Whether parts that an animal could touch burn it.
    least_distance : Sourced
        Least distance to an animal, leaf or anything that can scorch or burn; 0 where it is made to be lain
        on. [m]
    service_hours : Sourced or None
        Hours of burning after which it is usually replaced; None where it serves until it fails. [h]
    restrike_minutes : Sourced or None
        How long a discharge lamp that went out hot takes to light again; None where it does at once. [min]
    best_air, lost_off_best_air : Sourced or None
        Air round a fluorescent tube in which it gives most light, and the share that it loses 20 K from there;
        None where air does not matter. [K], [-]
    """

    name: Annotated[Sourced, TEXT]
    emitter: Annotated[Sourced, choice(*LINE_EMITTERS, "disc", "spot", "heater")]
    lamp_class: Annotated[Sourced, TEXT]
    input_power: Annotated[Sourced, quantity("power", low=0.1, high=5000.0)]
    diameter: Annotated[Sourced, quantity("length", low=0.001, high=1.0)]
    length: Annotated[Sourced | None, quantity("length", low=0.01, high=5.0)] = None
    glowing_length: Annotated[Sourced | None, quantity("length", low=0.01, high=5.0)] = None
    cut_off: Annotated[Sourced | None, quantity("angle", low=pi / 6, high=pi)] = None
    beam_angle: Annotated[Sourced | None, quantity("angle", low=0.01, high=pi)] = None
    field_angle: Annotated[Sourced | None, quantity("angle", low=0.01, high=pi)] = None
    luminous_flux: Annotated[Sourced, quantity("luminous_flux")]
    photon_flux: Annotated[Sourced, quantity("photon_flux")]
    radiant_power: Annotated[Sourced, quantity("power")]
    heat_share_air: Annotated[Sourced, SHARE]
    uvi_reference: Annotated[Sourced, UV_INDEX]
    uvi_reference_distance: Annotated[Sourced, quantity("length", low=0.05, high=3.0)]
    uv_spread: Annotated[Sourced, MULTIPLIER]
    visible_spread: Annotated[Sourced, MULTIPLIER]
    piece_spread: Annotated[Sourced, MULTIPLIER]
    dimmable: Annotated[Sourced, FLAG]
    controllers: Annotated[Sourced, choice(*CONTROLLERS)]
    housing_hot: Annotated[Sourced, FLAG]
    least_distance: Annotated[Sourced, quantity("length", high=3.0)]
    uv_fading: Annotated[Sourced | None, SPREAD_SHARE] = None
    service_hours: Annotated[Sourced | None, number(100.0, 200_000.0)] = None
    restrike_minutes: Annotated[Sourced | None, number(0.1, 60.0)] = None
    best_air: Annotated[Sourced | None, quantity("temperature", low=263.15, high=333.15)] = None
    lost_off_best_air: Annotated[Sourced | None, SHARE] = None

    @property
    def dark(self) -> bool:
        """Whether it radiates without giving light: then its radiation is the long-wave heat of a warm surface."""
        return self.luminous_flux.value == 0 and self.radiant_power.value != 0

    @property
    def heats(self) -> bool:
        """Whether it is there for its heat, wholly or also: a spot, or whatever radiates without light."""
        return self.emitter.value == "spot" or self.dark
