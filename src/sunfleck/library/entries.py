"""What the library knows about each kind of thing. Every field is a value with its source."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Annotated

from sunfleck.library.fields import (
    FLAG,
    MULTIPLIER,
    SHARE,
    SPREAD_SHARE,
    TEXT,
    UV_INDEX,
    UV_INDEX_RANGE,
    choice,
    number,
    quantity,
    whole,
)
from sunfleck.library.values import Sourced

LINE_EMITTERS = ("tube", "strip")


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


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """A lamp as it comes from the shop.

    Attributes
    ----------
    name : Sourced
        Its name for people.
    emitter : Sourced
        ``tube`` (in a reflector if it has a `cut_off`, else bare), ``strip``, ``disc`` (a flat face that
        glows evenly, as an LED panel), ``spot`` or ``heater``.
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
    housing_hot : Sourced
        Whether parts that an animal could touch burn it.
    least_distance : Sourced
        Least distance to an animal, leaf or anything that can scorch or burn. [m]
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
    uvi_reference: Annotated[Sourced, UV_INDEX]
    uvi_reference_distance: Annotated[Sourced, quantity("length", low=0.05, high=3.0)]
    uv_spread: Annotated[Sourced, MULTIPLIER]
    visible_spread: Annotated[Sourced, MULTIPLIER]
    piece_spread: Annotated[Sourced, MULTIPLIER]
    dimmable: Annotated[Sourced, FLAG]
    housing_hot: Annotated[Sourced, FLAG]
    least_distance: Annotated[Sourced, quantity("length", high=3.0)]
    uv_fading: Annotated[Sourced | None, SPREAD_SHARE] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """A woven or welded mesh.

    Attributes
    ----------
    name : Sourced
        Its name for people.
    pitch_u, pitch_v : Sourced
        From wire to wire, in the two directions. [m]
    wire : Sourced
        Diameter of the wire. [m]
    open_share : Sourced
        Share let through straight on: (1 - wire/pitch_u) (1 - wire/pitch_v). [-]
    """

    name: Annotated[Sourced, TEXT]
    pitch_u: Annotated[Sourced, quantity("length", low=1e-5, high=0.1)]
    pitch_v: Annotated[Sourced, quantity("length", low=1e-5, high=0.1)]
    wire: Annotated[Sourced, quantity("length", low=1e-6, high=0.02)]
    open_share: Annotated[Sourced, SPREAD_SHARE]


@dataclass(frozen=True, slots=True, kw_only=True)
class Guard:
    """A cage of bars round a lamp.

    Attributes
    ----------
    name : Sourced
        Its name for people.
    pitch_u, pitch_v : Sourced
        From bar to bar, and from cross bar to cross bar. [m]
    wire : Sourced
        Diameter of the bars. [m]
    bar_gap : Sourced
        Clear gap between bars: pitch_u - wire. [m]
    stand_off : Sourced
        From the lamp's surface to the bars. [m]
    open_share : Sourced
        Share let through straight on: (1 - wire/pitch_u) (1 - wire/pitch_v). [-]
    """

    name: Annotated[Sourced, TEXT]
    pitch_u: Annotated[Sourced, quantity("length", low=1e-4, high=0.5)]
    pitch_v: Annotated[Sourced, quantity("length", low=1e-4, high=0.5)]
    wire: Annotated[Sourced, quantity("length", low=1e-5, high=0.02)]
    bar_gap: Annotated[Sourced, quantity("length", high=0.5)]
    stand_off: Annotated[Sourced, quantity("length", low=0.005, high=0.5)]
    open_share: Annotated[Sourced, SPREAD_SHARE]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pane:
    """A clear sheet.

    Attributes
    ----------
    name : Sourced
        Its name for people.
    transmittance_uv, transmittance_visible, transmittance_radiant, transmittance_long_wave : Sourced
        Share let through straight on: weighted for erythema, for the eye, of a lamp's or the
        sun's radiation as a whole, and of the long-wave heat of a ceramic heater. [-]
    refractive_index : Sourced
        In the visible. [-]
    emissivity : Sourced
        For long-wave heat; what is neither let through nor given off is reflected. [-]
    """

    name: Annotated[Sourced, TEXT]
    transmittance_uv: Annotated[Sourced, SHARE]
    transmittance_visible: Annotated[Sourced, SPREAD_SHARE]
    transmittance_radiant: Annotated[Sourced, SHARE]
    transmittance_long_wave: Annotated[Sourced, SHARE]
    refractive_index: Annotated[Sourced, number(1.0, 2.5)]
    emissivity: Annotated[Sourced, SHARE]


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """The surface of a wall, panel, ledge or ground.

    Attributes
    ----------
    name : Sourced
        Its name for people.
    reflectance_uv, reflectance_visible, reflectance_radiant : Sourced
        Diffuse reflectance around 280-315 nm, 400-700 nm and 700-2500 nm; of leaves, what they reflect
        and let through together. [-]
    emissivity : Sourced
        For the long-wave heat of surfaces near room temperature; the rest is reflected. [-]
    rough : Sourced
        Whether claws hold on it when it stands upright.
    """

    name: Annotated[Sourced, TEXT]
    reflectance_uv: Annotated[Sourced, SHARE]
    reflectance_visible: Annotated[Sourced, SHARE]
    reflectance_radiant: Annotated[Sourced, SHARE]
    emissivity: Annotated[Sourced, SHARE]
    rough: Annotated[Sourced, FLAG]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wood:
    """What perches are made of.

    Attributes
    ----------
    name : Sourced
        Its name for people.
    density : Sourced
        Air-dry, at 12 % moisture. [kg m-3]
    reflectance_uv, reflectance_visible, reflectance_radiant : Sourced
        Diffuse reflectance around 280-315 nm, 400-700 nm and 700-2500 nm. [-]
    emissivity : Sourced
        For the long-wave heat of surfaces near room temperature; the rest is reflected. [-]
    rough : Sourced
        Whether claws hold on it.
    """

    name: Annotated[Sourced, TEXT]
    density: Annotated[Sourced, quantity("density", low=50.0, high=1500.0)]
    reflectance_uv: Annotated[Sourced, SHARE]
    reflectance_visible: Annotated[Sourced, SHARE]
    reflectance_radiant: Annotated[Sourced, SHARE]
    emissivity: Annotated[Sourced, SHARE]
    rough: Annotated[Sourced, FLAG]


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """What closed walls are made of.

    Attributes
    ----------
    name : Sourced
        Its name for people.
    density : Sourced
        As bought. [kg m-3]
    """

    name: Annotated[Sourced, TEXT]
    density: Annotated[Sourced, quantity("density", low=5.0, high=10000.0)]


Entry = Animal | Lamp | Mesh | Guard | Pane | Finish | Wood | Material
