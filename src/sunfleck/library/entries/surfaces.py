"""What things are made of and what their surface gives back: finishes, woods, materials."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from sunfleck.library.fields import FLAG, SHARE, TEXT, choice, quantity
from sunfleck.library.values import Sourced

# Far wider than anything built with: foam to steel, and what a lamp's surface reaches.
CONDUCTIVITY = quantity("thermal_conductivity", low=0.01, high=500.0)
SPECIFIC_HEAT = quantity("specific_heat", low=300.0, high=5000.0)
STIFFNESS = quantity("stress", low=1e5, high=3e11)
BORNE_TEMPERATURE = quantity("temperature", low=273.15, high=1300.0)


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
    use : Sourced
        Whether an animal may live with it: ``suitable``, ``with care`` or ``never``. A plan with a perch of a wood
        that says never is refused.
    hazard : Sourced
        What is wrong with it, first of all: ``none known``, ``toxic``, ``aromatic``, ``resin``, ``residues`` (of
        sprays or salt) or ``dust`` (of sawing it; nothing to the animal).
    caution : Sourced or None
        What to do about it.
    lasts_wet : Sourced
        How its heartwood stands up to lasting damp: ``well``, ``some years`` or ``badly``. The outer wood of any limb
        rots.
    density : Sourced or None
        Air-dry, at 12 % moisture; None only where nobody is to use it. [kg m-3]
    elastic_modulus : Sourced or None
        Of clear wood along the grain, at 12 % moisture; a limb with knots has about half of it. [Pa]
    working_stress : Sourced or None
        Bending stress that a sound dry limb with knots bears for good; None for woods nobody gave one. [Pa]
    reflectance_uv, reflectance_visible, reflectance_radiant : Sourced
        Diffuse reflectance around 280-315 nm, 400-700 nm and 700-2500 nm. [-]
    emissivity : Sourced
        For the long-wave heat of surfaces near room temperature; the rest is reflected. [-]
    rough : Sourced
        Whether claws hold on it.
    """

    name: Annotated[Sourced, TEXT]
    use: Annotated[Sourced, choice("suitable", "with care", "never")]
    hazard: Annotated[Sourced, choice("none known", "toxic", "aromatic", "resin", "residues", "dust")]
    caution: Annotated[Sourced | None, TEXT] = None
    lasts_wet: Annotated[Sourced, choice("well", "some years", "badly")]
    density: Annotated[Sourced | None, quantity("density", low=50.0, high=1500.0)] = None
    elastic_modulus: Annotated[Sourced | None, STIFFNESS] = None
    working_stress: Annotated[Sourced | None, quantity("stress", low=1e6, high=1e8)] = None
    reflectance_uv: Annotated[Sourced, SHARE]
    reflectance_visible: Annotated[Sourced, SHARE]
    reflectance_radiant: Annotated[Sourced, SHARE]
    emissivity: Annotated[Sourced, SHARE]
    rough: Annotated[Sourced, FLAG]


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """What closed walls are made of, and what seals, lines and coats them.

    Attributes
    ----------
    name : Sourced
        Its name for people.
    density : Sourced
        As bought; of foams and coats, when cured. [kg m-3]
    thermal_conductivity : Sourced or None
        Through the sheet. [W m-1 K-1]
    specific_heat : Sourced or None
        What a kilogram of it stores. [J kg-1 K-1]
    elastic_modulus : Sourced or None
        In bending, of boards along the grain of the faces. [Pa]
    safe_temperature : Sourced or None
        Hottest that it may be for good without softening, charring or giving off. [K]
    airing_time : Sourced or None
        From the last coat or bead until an animal may breathe beside it. [s]
    caution : Sourced or None
        What to do, or not to do, with it.
    """

    name: Annotated[Sourced, TEXT]
    density: Annotated[Sourced, quantity("density", low=5.0, high=10000.0)]
    thermal_conductivity: Annotated[Sourced | None, CONDUCTIVITY] = None
    specific_heat: Annotated[Sourced | None, SPECIFIC_HEAT] = None
    elastic_modulus: Annotated[Sourced | None, STIFFNESS] = None
    safe_temperature: Annotated[Sourced | None, BORNE_TEMPERATURE] = None
    airing_time: Annotated[Sourced | None, quantity("time")] = None
    caution: Annotated[Sourced | None, TEXT] = None
