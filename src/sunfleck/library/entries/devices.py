"""What moves, cools and wets air: fans, coolers, foggers. Coarse classes, until the device in hand is known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from sunfleck.library.fields import TEXT, band, choice, quantity, spread_quantity
from sunfleck.library.values import Sourced


@dataclass(frozen=True, slots=True, kw_only=True)
class Fan:
    """A small axial fan in a square frame.

    Attributes
    ----------
    name : Sourced
        Its name for people.
    side : Sourced
        Of the frame. [m]
    flow : Sourced
        Air it moves with nothing before or behind it; behind mesh, duct or filter it moves less. [m3 s-1]
    input_power : Sourced
        Electrical power, all of which warms the air in the end. [W]
    """

    name: Annotated[Sourced, TEXT]
    side: Annotated[Sourced, quantity("length", low=0.01, high=0.5)]
    flow: Annotated[Sourced, spread_quantity("flow_rate", high=1.0)]
    input_power: Annotated[Sourced, quantity("power", low=0.05, high=200.0)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cooler:
    """A way of cooling, and how far it can go.

    Attributes
    ----------
    name : Sourced
        Its name for people.
    never_below : Sourced
        What it cannot get under: the ``wet bulb`` of the air it takes in, the ``room``, or the ``set point`` of a
        machine.
    drop : Sourced or None
        How far below the air it takes in it gets in practice, least and most. [K]
    cooling_power : Sourced or None
        Heat it takes away. [W]
    input_power : Sourced or None
        Electrical power. [W]
    """

    name: Annotated[Sourced, TEXT]
    never_below: Annotated[Sourced, choice("wet bulb", "room", "set point")]
    drop: Annotated[Sourced | None, band("temperature_difference", high=40.0)] = None
    cooling_power: Annotated[Sourced | None, quantity("power", low=1.0, high=20000.0)] = None
    input_power: Annotated[Sourced | None, quantity("power", low=0.1, high=20000.0)] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Fogger:
    """A thing that puts water into the air.

    Attributes
    ----------
    name : Sourced
        Its name for people.
    kind : Sourced
        ``disc``, which shakes water into fog, or ``nozzle``, which sprays it under pressure.
    output : Sourced
        Water it gives while it runs. [m3 s-1]
    droplet : Sourced
        Usual diameter of its droplets, least and greatest: fog drifts and dries, spray falls and wets. [m]
    input_power : Sourced or None
        Electrical power; None for a nozzle, whose pump is shared. [W]
    """

    name: Annotated[Sourced, TEXT]
    kind: Annotated[Sourced, choice("disc", "nozzle")]
    output: Annotated[Sourced, spread_quantity("flow_rate", high=1e-3)]
    droplet: Annotated[Sourced, band("length", low=1e-7, high=1e-3)]
    input_power: Annotated[Sourced | None, quantity("power", low=0.1, high=1000.0)] = None
