"""Field types of the plan file: text with a unit in the file, an SI number in the model."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass
from typing import Annotated, Any, LiteralString

from pydantic import BeforeValidator, Field, GetCoreSchemaHandler, GetJsonSchemaHandler, WithJsonSchema
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from sunfleck.errors import UnitError
from sunfleck.units import Kind, parse_clock, parse_quantity


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number with a unit in the file, in SI in the model.

    Attributes
    ----------
    kind : str
        What it measures.
    example : str
        How it may be written.
    low, high : float
        Bounds in SI units.
    span : str
        The bounds in words.
    """

    kind: Kind
    example: str
    low: float
    high: float
    span: str

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Tell pydantic to read text with a unit."""
        del source, handler
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Describe it to an editor."""
        del schema, handler
        plain = {"type": "string", "examples": [self.example]}
        if self.kind == "fraction":
            plain["type"] = ["string", "number"]
        return {**plain, "description": f"{_words(self.kind)} with its unit; {self.span}"}

    def read(self, written: Any) -> float:
        """Return the SI value of what was written."""
        if isinstance(written, bool) or not isinstance(written, (str, int, float)):
            needed = f"a {_words(self.kind)} with its unit"
            raise refusal(kind="unit", found={"needed": needed, "fix": self.example})
        try:
            value = parse_quantity(str(written), self.kind)
        except UnitError as error:
            found = {"needed": error.needed, "fix": error.fix}
            raise refusal(kind="unit", found=found) from error
        if not math.isfinite(value) or not self.low <= value <= self.high:
            raise refusal(kind="range", found={"needed": self.span, "fix": None})
        return value


@dataclass(frozen=True, slots=True)
class PlainNumber:
    """A number without a unit.

    Attributes
    ----------
    low, high : float
        Bounds.
    span : str
        The bounds in words.
    """

    low: float
    high: float
    span: str

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Tell pydantic to read a number."""
        del source, handler
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Describe it to an editor."""
        del schema, handler
        return {"type": "number", "minimum": self.low, "maximum": self.high, "description": self.span}

    def read(self, written: Any) -> float:
        """Return the number that was written."""
        if isinstance(written, bool) or not isinstance(written, (int, float)) or not math.isfinite(written):
            raise refusal(kind="number", found={"needed": self.span, "fix": None})
        if not self.low <= written <= self.high:
            raise refusal(kind="range", found={"needed": self.span, "fix": None})
        return float(written)


def refusal(kind: LiteralString, found: dict[str, Any]) -> PydanticCustomError:
    """Carry what was needed and the remedy to ``schema_problems``; pydantic's own words are not used."""
    return PydanticCustomError(kind, "{needed}", found)


def _words(kind: str) -> str:
    return kind.replace("_", " ")


# The bounds keep typing slips and hostile files away from the physics; they are wider than any enclosure.
Position = Annotated[
    float, Quantity("length", "47 1/2 in", -20.0, 20.0, "a position within 20 m of the enclosure's corner")
]
Length = Annotated[float, Quantity("length", "120 cm", 1e-4, 20.0, "a length from 0.1 mm to 20 m")]
InsideLength = Annotated[float, Quantity("length", "120 cm", 0.05, 10.0, "an inside size from 5 cm to 10 m")]
Temperature = Annotated[
    float, Quantity("temperature", "27 degC", 203.15, 373.15, "a temperature from -70 to 100 degC")
]
TemperatureDifference = Annotated[
    float, Quantity("temperature_difference", "2 K", -60.0, 60.0, "a difference within 60 K")
]
TemperatureBand = Annotated[
    tuple[Temperature, Temperature], Field(description="the least and the most that is wanted")
]
Fraction = Annotated[float, Quantity("fraction", "55 %", 0.0, 1.0, "a share from 0 to 100 %")]
Accuracy = Annotated[
    float,
    Quantity("fraction", "10 %", 0.01, 1.0, "how far off two of three such meters are at most, 1 to 100 %"),
]
Band = Annotated[float, Quantity("temperature_difference", "1 K", 0.05, 20.0, "a width from 0.05 to 20 K")]
HeatLoss = Annotated[float, Quantity("heat_loss", "40 W/K", 1.0, 10_000.0, "a loss from 1 to 10,000 W/K")]
Gap = Annotated[float, Quantity("length", "3 mm", 0.0, 0.05, "a gap from 0 to 5 cm")]
Covered = Annotated[float, Quantity("length", "3 cm", 0.0, 1.0, "what stays covered, 0 to 1 m")]
Spare = Annotated[float, Quantity("length", "10 mm", 0.0, 0.2, "spare room from 0 to 20 cm")]
Opens = Annotated[
    float, Quantity("angle", "90 deg", math.pi / 18, 3 * math.pi / 2, "an angle from 10 to 270 degrees")
]
Mass = Annotated[float, Quantity("mass", "220 g", 1e-5, 1000.0, "a mass from 0.01 g to 1000 kg")]
Area = Annotated[float, Quantity("area", "0.2 m2", 1e-5, 10.0, "an area from 0.1 cm2 to 10 m2")]
Angle = Annotated[
    float, Quantity("angle", "30 deg", -2 * math.pi, 2 * math.pi, "an angle within one full turn")
]
Burned = Annotated[
    float, Quantity("time", "1500 h", 0.0, 3.6e8, "hours that the lamp has burned, up to 100,000 h")
]
Outage = Annotated[float, Quantity("time", "6 h", 60.0, 259_200.0, "a time from 1 min to 72 h")]
Lux = Annotated[
    float, Quantity("illuminance", "12000 lux", 1e-3, 1e6, "a brightness from 0.001 to 1,000,000 lux")
]
Point = Annotated[tuple[Position, Position, Position], Field(description="x, y, z from the inside corner")]
FacePoint = Annotated[tuple[Position, Position], Field(description="along the face, then up or back")]
FaceSize = Annotated[tuple[Length, Length], Field(description="extent along the face, then up or back")]


def _read_clock(written: Any) -> float:
    if not isinstance(written, str):
        raise refusal(kind="unit", found={"needed": "a time of day in quotes", "fix": '"08:00"'})
    try:
        return parse_clock(written)
    except UnitError as error:
        raise refusal(kind="unit", found={"needed": error.needed, "fix": error.fix}) from error


Clock = Annotated[
    float,
    BeforeValidator(_read_clock),
    WithJsonSchema({"type": "string", "description": "time of day, 24-hour", "examples": ["08:00"]}),
]


def _read_day(written: Any) -> str:
    try:
        return datetime.date.fromisoformat(str(written)).isoformat()
    except ValueError as error:
        found = {"needed": "a day as year-month-day", "fix": "2026-11-25"}
        raise refusal(kind="unit", found=found) from error


Day = Annotated[
    str,
    BeforeValidator(_read_day),
    WithJsonSchema({"type": "string", "description": "a day: year-month-day", "examples": ["2026-11-25"]}),
]


UvIndex = Annotated[float, PlainNumber(0.01, 500.0, "a UV index from 0.01 to 500")]
Price = Annotated[float, PlainNumber(0.0, 1000.0, "a price for one kWh, a number")]
Latitude = Annotated[float, PlainNumber(-90.0, 90.0, "a latitude from -90 to 90 degrees, north positive")]

Id = Annotated[str, Field(max_length=80)]
Name = Annotated[str, Field(min_length=1, max_length=80)]
