"""The survey file: what was read in the box on one day, with which meters. Its keys are the file's keys."""

from __future__ import annotations

from typing import Annotated, Any, Literal, NamedTuple

from pydantic import (
    BeforeValidator,
    Discriminator,
    Field,
    GetCoreSchemaHandler,
    GetJsonSchemaHandler,
    Tag,
    WithJsonSchema,
)
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from sunfleck.plan.base import Part
from sunfleck.plan.quantities import (
    Burned,
    Clock,
    Day,
    Fraction,
    Name,
    PlainNumber,
    Point,
    Quantity,
    Temperature,
    refusal,
)
from sunfleck.plan.stations import Hold

FORMAT = 1
Reads = Literal["uvi", "lux", "ppfd", "surface", "air", "humidity"]
LIGHT: tuple[Reads, ...] = ("uvi", "lux", "ppfd")
HEAT: tuple[Reads, ...] = ("surface", "air")
MOISTURE: tuple[Reads, ...] = ("humidity",)
QUANTITIES: tuple[Reads, ...] = (*LIGHT, *HEAT, *MOISTURE)
SurveyKind = Literal["dry", "final", "later"]
Mesh = Literal["in place", "lifted"]
Salt = Literal[
    "lithium chloride",
    "magnesium chloride",
    "magnesium nitrate",
    "sodium chloride",
    "potassium chloride",
    "potassium nitrate",
    "potassium sulfate",
]


class Accuracy(NamedTuple):
    """How far off two of three such meters are at most: one standard deviation.

    Attributes
    ----------
    value : float
        A share of the reading (light), points of relative humidity as a share, or kelvin.
    kind : str
        What the value is.
    """

    value: float
    kind: Literal["fraction", "temperature_difference"]


class _Percent:
    """A share that says it is one: of a bare 40 nobody knows what it is a share of."""

    def __init__(self, example: str, low: float, span: str) -> None:
        self.share = Quantity("fraction", example, low, 1.0, span)

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Tell pydantic to read text with a unit."""
        del source, handler
        return core_schema.no_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, schema: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        """Describe it to an editor."""
        del schema, handler
        return {"type": "string", "examples": [self.share.example], "description": self.span}

    @property
    def span(self) -> str:
        """The bounds in words."""
        return self.share.span

    def read(self, written: Any) -> Any:
        """Return the share."""
        bare = isinstance(written, (int, float)) or (isinstance(written, str) and _bare(written))
        if bare and not isinstance(written, bool):
            found = {"needed": f"{self.span}, with its sign", "fix": f"{str(written).strip()[:20]} %"}
            raise refusal(kind="unit", found=found)
        return self.share.read(written)


class _Accuracy(_Percent):
    """A percentage, or a difference of temperatures."""

    difference = Quantity("temperature_difference", "0.5 K", 0.01, 20.0, "an accuracy from 0.01 to 20 K")

    def read(self, written: Any) -> Accuracy:
        """Return the value with its kind."""
        text = written.strip() if isinstance(written, str) else ""
        if text and not _bare(text) and not text.endswith(("%", "percent", "per cent")):
            return Accuracy(self.difference.read(written), "temperature_difference")
        return Accuracy(super().read(written), "fraction")


def _bare(written: str) -> bool:
    return written.strip()[-1:].isdigit() or written.strip()[-1:] == "."


Humidity = Annotated[float, _Percent("55 %", 0.0, "a relative humidity from 0 to 100 %")]
MeterAccuracy = Annotated[
    Accuracy, _Accuracy("10 %", 0.001, "an accuracy from 0.1 to 100 %, or from 0.01 to 20 K")
]
ReadUvIndex = Annotated[float, PlainNumber(0.0, 500.0, "a UV index from 0 to 500, a number")]
ReadLux = Annotated[
    float, Quantity("illuminance", "12000 lux", 0.0, 1e6, "a brightness from 0 to 1,000,000 lux")
]
ReadPpfd = Annotated[
    float,
    Quantity("photon_flux_density", "450 umol/m2/s", 0.0, 1e4, "plant light from 0 to 10,000 umol/m2/s"),
]
WarmUp = Annotated[float, Quantity("time", "45 min", 0.0, 604_800.0, "a time from 0 to 7 days")]
Offset = Annotated[
    float, Quantity("temperature_difference", "0.3 K", -20.0, 20.0, "what it reads too much, within 20 K")
]
Factor = Annotated[
    float, PlainNumber(0.2, 5.0, "a factor from 0.2 to 5 by which readings are multiplied, a number")
]
Note = Annotated[str, Field(max_length=400)]


def _list_or_name(written: Any) -> str:
    return "point" if isinstance(written, (list, tuple)) else "station"


Place = Annotated[
    Annotated[Name, Tag("station"), WithJsonSchema({"type": ["string", "number"]})]
    | Annotated[Point, Tag("point")],
    Discriminator(_list_or_name),
]


def _empty(written: Any) -> Any:
    # `readings:` with nothing below it is how a new survey begins.
    return () if written is None else written


class Instrument(Part):
    """A meter: what it reads, how well, and what its readings are corrected by.

    Light is multiplied by `factor`; `offset` is what a thermometer reads too much; a hygrometer stood over wet
    `salt` at `salt_at`, and read `salt_read`. A device that reads two of light, temperature and humidity stands twice.
    """

    name: Name
    reads: Annotated[tuple[Reads, ...], Field(min_length=1, max_length=6)]
    accuracy: MeterAccuracy
    calibrated: Day | None = None
    factor: Factor | None = None
    offset: Offset | None = None
    salt: Salt | None = None
    salt_read: Humidity | None = None
    salt_at: Temperature | None = None
    note: Note | None = None


class Reading(Part):
    """What one meter showed at one place: a station by name, or a point.

    `lit` says which lamps burned where that differs from the survey as a whole.
    """

    at: Place
    uvi: ReadUvIndex | None = None
    lux: ReadLux | None = None
    ppfd: ReadPpfd | None = None
    surface: Temperature | None = None
    air: Temperature | None = None
    humidity: Humidity | None = None
    with_: Annotated[Name, Field(alias="with")]
    mesh: Mesh = "in place"
    lit: Annotated[tuple[Name, ...], Field(max_length=30)] | None = None
    hold: Hold | None = None
    time: Clock | None = None
    note: Note | None = None

    @property
    def values(self) -> dict[Reads, float]:
        """What was read, in SI units, in the order of :data:`QUANTITIES`."""
        return {key: value for key in QUANTITIES if (value := getattr(self, key)) is not None}


class Held(Part):
    """A stop that was passed before the animal moves in: what was tested, by whom, and when."""

    what: Name
    by: Name
    date: Day
    note: Note | None = None


class Survey(Part):
    """A survey as written, in SI units. `lit` names the lamps that burned; all of them where it is left out.

    `box` is the print of what stood and hung when it was begun. `levels` says how far lamps on a dimmer or thermostat
    were up: of those nobody else knows it.
    """

    survey: Literal[1]
    date: Day
    kind: SurveyKind
    by: Name
    room: Temperature | None = None
    room_humidity: Humidity | None = None
    warm_up: WarmUp | None = None
    lit: Annotated[tuple[Name, ...], Field(max_length=30)] | None = None
    box: Annotated[str | None, Field(pattern="^[0-9a-f]{12}$")] = None
    levels: Annotated[dict[str, Fraction], Field(default_factory=dict, max_length=30)]
    lamp_hours: Annotated[dict[str, Burned], Field(default_factory=dict, max_length=30)]
    note: Note | None = None
    instruments: Annotated[tuple[Instrument, ...], Field(max_length=20), BeforeValidator(_empty)] = ()
    readings: Annotated[tuple[Reading, ...], Field(max_length=1000), BeforeValidator(_empty)] = ()
    held: Annotated[tuple[Held, ...], Field(max_length=200), BeforeValidator(_empty)] = ()
    end: Literal[True]


def json_schema() -> dict[str, Any]:
    """Return the survey format as JSON Schema (draft 2020-12), for editors."""
    schema = Survey.model_json_schema(by_alias=True)
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    for key in ("instruments", "readings"):
        # Nothing below the key is an empty list.
        schema["properties"][key] = {"anyOf": [schema["properties"][key], {"type": "null"}]}
    schema["title"] = f"Sunfleck survey, format {FORMAT}"
    return schema
