"""What is known of whole families, and how large an enclosure must be by law or practice."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated

from sunfleck.library.fields import TEXT, choice, number, quantity, temperature, whole
from sunfleck.library.values import Sourced


@dataclass(frozen=True, slots=True, kw_only=True)
class Family:
    """Body temperatures over the species of a family: a fallback where a species has none of its own.

    Attributes
    ----------
    name : Sourced
        Its scientific name.
    field_body, field_body_range : Sourced
        Mean over its species of the mean body temperature of wild animals, and the least and greatest of these. [K]
    field_body_species : Sourced
        Over how many species. [-]
    critical_high, critical_low : Sourced or None
        Means over its species of the body temperatures at which they can no longer right themselves. [K]
    """

    name: Annotated[Sourced, TEXT]
    field_body: Annotated[Sourced, temperature(band=False)]
    field_body_range: Annotated[Sourced, temperature()]
    field_body_species: Annotated[Sourced, whole(1, 10000)]
    critical_high: Annotated[Sourced | None, temperature(band=False)] = None
    critical_low: Annotated[Sourced | None, temperature(band=False)] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SpaceRule:
    """A floor under the size of an enclosure: a law at a date, a report, or common practice. Never a target.

    Attributes
    ----------
    name : Sourced
        What it is, for people.
    kind : Sourced
        ``law``, ``report`` (advice to authorities) or ``practice``.
    place, year : Sourced
        Where and since when it holds; no year for practice.
    applies_to : Sourced
        Species or family by its scientific name.
    animals : Sourced
        For how many animals the figures are. [-]
    unit_length : Sourced or None
        What the factors multiply: ``head and body``, ``total length`` or ``shell``.
    length_factor, width_factor, height_factor : Sourced or None
        Length, width and height of the enclosure over that. [-]
    floor_area, area_for_each_further : Sourced or None
        Ground for these animals, and for each one more. [m2]
    length, width, height : Sourced or None
        Least measures. [m]
    """

    name: Annotated[Sourced, TEXT]
    kind: Annotated[Sourced, choice("law", "report", "practice")]
    place: Annotated[Sourced, TEXT]
    year: Annotated[Sourced | None, whole(1950, 2100)] = None
    applies_to: Annotated[Sourced, TEXT]
    animals: Annotated[Sourced, whole(1, 50)]
    unit_length: Annotated[Sourced | None, choice("head and body", "total length", "shell")] = None
    length_factor: Annotated[Sourced | None, number(0.1, 30.0)] = None
    width_factor: Annotated[Sourced | None, number(0.1, 30.0)] = None
    height_factor: Annotated[Sourced | None, number(0.1, 30.0)] = None
    floor_area: Annotated[Sourced | None, quantity("area", low=0.005, high=100.0)] = None
    area_for_each_further: Annotated[Sourced | None, quantity("area", low=0.0, high=100.0)] = None
    length: Annotated[Sourced | None, quantity("length", low=0.05, high=20.0)] = None
    width: Annotated[Sourced | None, quantity("length", low=0.05, high=20.0)] = None
    height: Annotated[Sourced | None, quantity("length", low=0.05, high=20.0)] = None
