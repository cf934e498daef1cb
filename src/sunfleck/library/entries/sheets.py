"""What light passes: meshes, guards, panes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from sunfleck.library.entries.surfaces import BORNE_TEMPERATURE, CONDUCTIVITY, SPECIFIC_HEAT, STIFFNESS
from sunfleck.library.fields import SHARE, SPREAD_SHARE, TEXT, number, quantity
from sunfleck.library.values import Sourced


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
    density, thermal_conductivity, specific_heat, elastic_modulus : Sourced or None
        As of a material. [kg m-3], [W m-1 K-1], [J kg-1 K-1], [Pa]
    safe_temperature : Sourced or None
        Hottest that it may be for good. [K]
    """

    name: Annotated[Sourced, TEXT]
    transmittance_uv: Annotated[Sourced, SHARE]
    transmittance_visible: Annotated[Sourced, SPREAD_SHARE]
    transmittance_radiant: Annotated[Sourced, SHARE]
    transmittance_long_wave: Annotated[Sourced, SHARE]
    refractive_index: Annotated[Sourced, number(1.0, 2.5)]
    emissivity: Annotated[Sourced, SHARE]
    density: Annotated[Sourced | None, quantity("density", low=5.0, high=10000.0)] = None
    thermal_conductivity: Annotated[Sourced | None, CONDUCTIVITY] = None
    specific_heat: Annotated[Sourced | None, SPECIFIC_HEAT] = None
    elastic_modulus: Annotated[Sourced | None, STIFFNESS] = None
    safe_temperature: Annotated[Sourced | None, BORNE_TEMPERATURE] = None
