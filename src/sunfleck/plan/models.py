"""The plan file as a whole. These models are the format: their keys are the file's keys."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from sunfleck.plan.base import Part
from sunfleck.plan.enclosure import Enclosure, Site
from sunfleck.plan.fixtures import Fixture, Meter
from sunfleck.plan.furnishing import Animal, Background, Bowl, Hide, Ledge, Perch, Plant, Substrate
from sunfleck.plan.quantities import Name, Spare
from sunfleck.plan.stations import Station

FORMAT = 1


class OwnValue(Part):
    """A value of the user's that takes the place of the library's."""

    value: str | float | bool
    source: Name
    basis: Literal["measured", "published", "derived", "common practice", "from memory"]


class Fit(Part):
    """How much must stay free where a part goes through: on every side, and for the `fingers` of a hand beside it.

    What a cut takes: the `kerf` of the saw, and the sealing gap (`seam`) between two pieces.
    """

    clearance: Spare | None = None
    fingers: Spare | None = None
    kerf: Spare | None = None
    seam: Spare | None = None


class LibraryLock(Part):
    """Which state of the library the plan was made with."""

    hash: Name


class Plan(Part):
    """A plan as written, in SI units."""

    format: Literal[1]
    name: Name
    show_units: Literal["metric", "us"] = "metric"
    library: LibraryLock | None = None
    site: Site | None = None
    enclosure: Enclosure
    substrate: Substrate | None = None
    animals: Annotated[tuple[Animal, ...], Field(min_length=1, max_length=10)]
    meters: Annotated[tuple[Meter, ...], Field(max_length=20)] = ()
    fixtures: Annotated[tuple[Fixture, ...], Field(max_length=30)] = ()
    perches: Annotated[tuple[Perch, ...], Field(max_length=60)] = ()
    ledges: Annotated[tuple[Ledge, ...], Field(max_length=60)] = ()
    backgrounds: Annotated[tuple[Background, ...], Field(max_length=12)] = ()
    plants: Annotated[tuple[Plant, ...], Field(max_length=60)] = ()
    hides: Annotated[tuple[Hide, ...], Field(max_length=20)] = ()
    bowls: Annotated[tuple[Bowl, ...], Field(max_length=20)] = ()
    stations: Annotated[tuple[Station, ...], Field(max_length=200)] = ()
    fit: Fit | None = None
    order: Annotated[tuple[Name, ...], Field(max_length=250)] = ()
    own_values: Annotated[dict[str, OwnValue], Field(default_factory=dict, max_length=200)]


def json_schema() -> dict[str, Any]:
    """Return the plan format as JSON Schema (draft 2020-12), for editors."""
    schema = Plan.model_json_schema(by_alias=True)
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = f"Sunfleck plan, format {FORMAT}"
    return schema
