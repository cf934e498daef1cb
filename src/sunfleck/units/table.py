"""The units a builder writes, as one table: the only conversions of the program."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi
from typing import Literal

Kind = Literal[
    "length",
    "area",
    "volume",
    "angle",
    "temperature",
    "temperature_difference",
    "mass",
    "power",
    "time",
    "fraction",
    "irradiance",
    "illuminance",
    "photon_flux_density",
    "photon_flux",
    "luminous_flux",
    "uv_index",
    "speed",
    "density",
    "thermal_transmittance",
    "thermal_conductivity",
    "specific_heat",
    "heat_loss",
    "energy",
    "pressure",
    "stress",
    "flow_rate",
    "force",
]


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: SI value = number x factor + offset.

    Attributes
    ----------
    kind : str
        What it measures.
    factor, offset : float
        To SI.
    spellings : tuple of str
        As people write it; the first is how we print it.
    """

    kind: Kind
    factor: float
    offset: float
    spellings: tuple[str, ...]


def _unit(kind: Kind, factor: float, *spellings: str, offset: float = 0.0) -> Unit:
    return Unit(kind, factor, offset, spellings)


INCH = 0.0254
POUND = 0.45359237
US_GALLON = 3.785411784e-3
IMPERIAL_GALLON = 4.54609e-3

UNITS: tuple[Unit, ...] = (
    _unit("length", 1e-6, "um", "micrometre", "micrometres", "micron", "microns"),
    _unit("length", 1e-3, "mm", "millimetre", "millimetres", "millimeter", "millimeters"),
    _unit("length", 1e-2, "cm", "centimetre", "centimetres", "centimeter", "centimeters"),
    _unit("length", 1.0, "m", "metre", "metres", "meter", "meters"),
    _unit("length", INCH, "in", '"', "inch", "inches"),
    _unit("length", 12 * INCH, "ft", "'", "foot", "feet"),
    _unit("length", 36 * INCH, "yd", "yard", "yards"),
    _unit("area", 1e-6, "mm2"),
    _unit("area", 1e-4, "cm2"),
    _unit("area", 1.0, "m2"),
    _unit("area", INCH**2, "in2", "sq in"),
    _unit("area", (12 * INCH) ** 2, "ft2", "sq ft"),
    _unit("volume", 1e-6, "ml", "mL", "cm3"),
    _unit("volume", 1e-3, "L", "l", "litre", "litres", "liter", "liters"),
    _unit("volume", 1.0, "m3"),
    _unit("volume", US_GALLON, "US gal", "US gallon", "US gallons"),
    _unit(
        "volume",
        IMPERIAL_GALLON,
        "imp gal",
        "imperial gal",
        "imperial gallon",
        "imperial gallons",
        "UK gal",
        "UK gallon",
        "UK gallons",
    ),
    _unit("volume", US_GALLON / 4, "US qt", "US quart", "US quarts"),
    _unit("volume", US_GALLON / 128, "US fl oz"),
    _unit("volume", INCH**3, "in3", "cu in"),
    _unit("volume", (12 * INCH) ** 3, "ft3", "cu ft"),
    _unit("angle", pi / 180, "deg", "°", "degree", "degrees"),
    _unit("angle", 1.0, "rad"),
    _unit("temperature", 1.0, "degC", "°C", "deg C", offset=273.15),
    _unit("temperature", 5 / 9, "degF", "°F", "deg F", offset=273.15 - 32 * 5 / 9),
    _unit("temperature", 1.0, "K", "kelvin"),
    _unit("temperature_difference", 1.0, "K", "kelvin", "Cdeg"),
    _unit("temperature_difference", 5 / 9, "Fdeg"),
    _unit("mass", 1e-6, "mg"),
    _unit("mass", 1e-3, "g", "gram", "grams"),
    _unit("mass", 1.0, "kg", "kilogram", "kilograms"),
    _unit("mass", POUND, "lb", "lbs", "pound", "pounds"),
    _unit("mass", POUND / 16, "oz", "ounce", "ounces"),
    _unit("power", 1.0, "W", "watt", "watts"),
    _unit("power", 1e-3, "mW"),
    _unit("power", 1e3, "kW"),
    _unit("time", 1.0, "s", "sec", "second", "seconds"),
    _unit("time", 60.0, "min", "minute", "minutes"),
    _unit("time", 3600.0, "h", "hour", "hours"),
    _unit("time", 86400.0, "day", "days", "d"),
    _unit("time", 604800.0, "week", "weeks"),
    _unit("fraction", 1e-2, "%", "percent", "per cent"),
    _unit("irradiance", 1.0, "W/m2", "W m-2"),
    _unit("irradiance", 1e-3, "mW/m2"),
    _unit("irradiance", 1e-2, "uW/cm2"),
    _unit("illuminance", 1.0, "lux", "lx"),
    _unit("illuminance", 1e3, "klux", "klx"),
    _unit("illuminance", 1 / (12 * INCH) ** 2, "fc", "foot-candle", "foot-candles"),
    _unit("photon_flux_density", 1.0, "umol/m2/s", "umol m-2 s-1", "umol/(m2 s)"),
    _unit("photon_flux", 1.0, "umol/s", "umol s-1"),
    _unit("luminous_flux", 1.0, "lm", "lumen", "lumens"),
    _unit("uv_index", 1.0, "UVI"),
    _unit("speed", 1.0, "m/s"),
    _unit("speed", 1e-3, "mm/s"),
    _unit("speed", 12 * INCH / 60, "ft/min"),
    _unit("density", 1.0, "kg/m3", "kg m-3"),
    _unit("density", 1e3, "g/cm3"),
    _unit("density", POUND / (12 * INCH) ** 3, "lb/ft3"),
    _unit("thermal_transmittance", 1.0, "W/m2K", "W/m2 K", "W/(m2 K)", "W/(m2K)", "W/m2/K", "W m-2 K-1"),
    _unit("thermal_conductivity", 1.0, "W/mK", "W/m K", "W/(m K)", "W/(mK)", "W/m/K", "W m-1 K-1"),
    _unit("specific_heat", 1.0, "J/kgK", "J/kg K", "J/(kg K)", "J/(kgK)", "J kg-1 K-1"),
    _unit("heat_loss", 1.0, "W/K", "W K-1"),
    _unit("energy", 1.0, "J"),
    _unit("energy", 3.6e6, "kWh"),
    _unit("energy", 3600.0, "Wh"),
    _unit("pressure", 1.0, "Pa"),
    _unit("pressure", 100.0, "hPa", "mbar"),
    _unit("pressure", 1e3, "kPa"),
    _unit("stress", 1e6, "MPa", "N/mm2"),
    _unit("stress", 1e9, "GPa"),
    _unit("flow_rate", 1e-3, "L/s", "l/s"),
    _unit("flow_rate", 1 / 3600, "m3/h"),
    _unit("flow_rate", (12 * INCH) ** 3 / 60, "ft3/min", "cu ft/min"),
    _unit("flow_rate", 1e-3 / 3600, "L/h", "l/h"),
    _unit("force", 1.0, "N"),
    _unit("force", 9.80665 * POUND, "lbf"),
)


def kinds() -> tuple[Kind, ...]:
    """Return every kind of quantity, in the table's order."""
    return tuple(dict.fromkeys(unit.kind for unit in UNITS))


def spellings(kind: Kind) -> tuple[str, ...]:
    """Return every spelling of a kind's units, the printed one of each unit first."""
    return tuple(word for unit in UNITS if unit.kind == kind for word in unit.spellings)
