"""Print a quantity in the units its reader uses, with no more digits than it deserves."""

from __future__ import annotations

import math
from typing import Literal

from sunfleck.units.table import UNITS, Kind, Unit

System = Literal["metric", "us"]

# Unit and decimals per kind and system; the decimals are what a builder can measure.
_SHOWN: dict[Kind, dict[System, tuple[str, int]]] = {
    "length": {"metric": ("cm", 1), "us": ("in", 1)},
    "area": {"metric": ("m2", 2), "us": ("ft2", 1)},
    "volume": {"metric": ("L", 0), "us": ("US gal", 0)},
    "angle": {"metric": ("deg", 0), "us": ("deg", 0)},
    "temperature": {"metric": ("degC", 0), "us": ("degF", 0)},
    "temperature_difference": {"metric": ("K", 0), "us": ("Fdeg", 0)},
    "mass": {"metric": ("kg", 2), "us": ("lb", 2)},
    "power": {"metric": ("W", 0), "us": ("W", 0)},
    "time": {"metric": ("min", 0), "us": ("min", 0)},
    "irradiance": {"metric": ("W/m2", 0), "us": ("W/m2", 0)},
    "photon_flux_density": {"metric": ("umol/m2/s", 0), "us": ("umol/m2/s", 0)},
    "photon_flux": {"metric": ("umol/s", 0), "us": ("umol/s", 0)},
    "luminous_flux": {"metric": ("lm", 0), "us": ("lm", 0)},
    "density": {"metric": ("kg/m3", 0), "us": ("lb/ft3", 1)},
    "pressure": {"metric": ("hPa", 0), "us": ("hPa", 0)},
    "force": {"metric": ("N", 0), "us": ("lbf", 0)},
    "uv_index": {"metric": ("UVI", 1), "us": ("UVI", 1)},
    "illuminance": {"metric": ("lux", 0), "us": ("fc", 0)},
}


def format_quantity(value: float, kind: Kind, system: System = "metric", digits: int | None = None) -> str:
    """Print a quantity.

    Parameters
    ----------
    value : float
        In SI units.
    kind : str
        What it measures.
    system : str
        ``metric`` or ``us``.
    digits : int, optional
        Decimals; by default what a builder can measure (UV index 0.1, temperature 1 degree,
        humidity 5 %, length 1 mm). [-]

    Returns
    -------
    text : str
        Readable by :func:`parse_quantity`; ``not known`` for NaN and ``no limit`` for an infinite
        number, which it refuses.

    Examples
    --------
    >>> format_quantity(0.475, "length"), format_quantity(0.475, "length", "us")
    ('47.5 cm', '18.7 in')
    """
    if not math.isfinite(value):
        return "not known" if math.isnan(value) else "no limit"
    if kind == "fraction":
        share = round(100 * value / 5) * 5 if digits is None else round(100 * value, digits)
        return f"{share + 0.0:.12g} %"  # + 0.0 turns minus zero into zero
    word, decimals = _SHOWN.get(kind, {}).get(system) or (_first(kind).spellings[0], 2)
    unit = next(u for u in UNITS if u.kind == kind and u.spellings[0] == word)
    number = (value - unit.offset) / unit.factor
    text = f"{number:.{decimals if digits is None else digits}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    if kind == "uv_index" and digits is None:
        text = f"{number:.1f}"
    if float(text) == 0:
        text = text.lstrip("-")
    return f"{text} {word}"


def format_at_least(length: float, system: System = "metric") -> str:
    """Print a length rounded down, so that what is said to stay free does.

    Parameters
    ----------
    length : float
        Zero or more. [m]
    system : str
        ``metric`` (to 1 mm, below 1 cm to half a millimetre) or ``us`` (to 0.01 in).

    Returns
    -------
    text : str
        Readable by :func:`parse_quantity`.

    Examples
    --------
    >>> format_at_least(0.0129), format_at_least(0.0029), format_at_least(0.01, "us")
    ('1.2 cm', '0.25 cm', '0.39 in')
    """
    if not math.isfinite(length):
        return format_quantity(length, "length", system)
    if system == "metric":
        unit, digits = (0.001, 1) if length >= 0.01 - 1e-9 else (0.0005, 2)
    else:
        unit, digits = 0.000254, 2
    # What was certified as 10 mm shall not become 9 by its last binary digit.
    return format_quantity(math.floor(length / unit + 1e-6) * unit, "length", system, digits)


def _first(kind: Kind) -> Unit:
    return next(unit for unit in UNITS if unit.kind == kind)
