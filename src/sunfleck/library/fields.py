"""Rules for the fields of library entries: which kind of value a field holds, and within which limits."""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Literal, get_type_hints

from sunfleck.errors import UnitError
from sunfleck.library.values import Value
from sunfleck.units import Kind, parse_quantity

Form = Literal["text", "choice", "flag", "number", "whole", "pair", "band", "quantity"]

SI_UNITS: Mapping[str, str] = {
    "length": "m",
    "angle": "rad",
    "power": "W",
    "mass": "kg",
    "density": "kg m-3",
    "luminous_flux": "lm",
    "photon_flux": "umol s-1",
    "uv_index": "UVI",
    "fraction": "",
    "temperature": "K",
    "area": "m2",
    "temperature_difference": "K",
    "photon_flux_density": "umol m-2 s-1",
    "thermal_conductivity": "W m-1 K-1",
    "specific_heat": "J kg-1 K-1",
    "stress": "Pa",
    "flow_rate": "m3 s-1",
    "time": "s",
}
"""Unit in which a value of each kind is kept; photon flux in micromoles, as the whole program counts it."""

EXAMPLES: Mapping[str, str] = {
    "length": "30 cm",
    "angle": "25 deg",
    "power": "54 W",
    "mass": "220 g",
    "density": "717 kg/m3",
    "luminous_flux": "800 lm",
    "photon_flux": "16 umol/s",
    "temperature": "32 degC",
    "fraction": "60 %",
    "area": "0.6 m2",
    "temperature_difference": "3 K",
    "photon_flux_density": "100 umol/m2/s",
    "thermal_conductivity": "0.17 W/mK",
    "specific_heat": "1600 J/kgK",
    "stress": "12 GPa",
    "flow_rate": "50 m3/h",
    "time": "7 days",
}


@dataclass(frozen=True, slots=True)
class FieldRule:
    """What a field of an entry holds.

    Attributes
    ----------
    form : str
        ``text``, ``choice``, ``flag``, ``number``, ``whole``, ``pair``, ``quantity`` (with a unit) or ``band`` (two
        quantities, the lower first).
    kind : str
        For quantities and numbers of a kind, the kind of `sunfleck.units`; else empty.
    low, high : float
        Least and greatest value, in the unit of the field.
    choices : tuple of str
        For ``choice``, the words allowed.
    spread : bool
        Whether a spread must be given.
    measured : bool
        Whether it must be said what it is measured with: a temperature of a surface, of shaded air and of a body are
        three different things.
    """

    form: Form
    kind: Kind | None = None
    low: float = 0.0
    high: float = math.inf
    choices: tuple[str, ...] = ()
    spread: bool = False
    measured: bool = False

    @property
    def unit(self) -> str:
        """SI unit of the field, empty where it has none."""
        return "" if self.kind is None else SI_UNITS[self.kind]

    def read(self, written: object) -> Value:
        """Turn what is written into a value in SI units.

        Parameters
        ----------
        written : object
            What a library file or a plan says.

        Returns
        -------
        value : float, str, bool or tuple of float
            In the unit of the field.

        Raises
        ------
        UnitError
            If it is not what the field needs.
        """
        if self.form in ("text", "choice"):
            return self._word(written)
        if self.form == "flag":
            if not isinstance(written, bool):
                raise UnitError(str(written), "true or false")
            return written
        if self.form in ("pair", "band"):
            return self._pair(written)
        value = self._quantity(written) if self.form == "quantity" else self._number(written)
        return self._within_limits(value, written)

    def _word(self, written: object) -> str:
        if not isinstance(written, str) or not written.strip():
            raise UnitError(str(written), "a text")
        if self.form == "choice" and written not in self.choices:
            raise UnitError(written, f"one of {', '.join(self.choices)}")
        return written

    def _quantity(self, written: object) -> float:
        assert self.kind is not None
        if not isinstance(written, str):
            # Zero of what? A number without its unit is a guess even where it is nought.
            needed = f"a {self.kind.replace('_', ' ')} with its unit"
            raise UnitError(str(written), needed, EXAMPLES.get(self.kind))
        return parse_quantity(written, self.kind)

    def _number(self, written: object) -> float:
        if isinstance(written, str) and self.kind is not None:
            return parse_quantity(written, self.kind)
        if isinstance(written, bool) or not isinstance(written, (int, float)):
            raise UnitError(str(written), "a plain number")
        if self.form == "whole" and written != round(written):
            raise UnitError(str(written), "a whole number")
        return written

    def _pair(self, written: object) -> tuple[float, ...]:
        needed = "two numbers, the lower first"
        if not isinstance(written, list) or len(written) != 2:
            raise UnitError(str(written), needed)
        read = self._quantity if self.form == "band" else self._number
        low, high = (self._within_limits(read(part), part) for part in written)
        if low > high:
            raise UnitError(str(written), needed, f"[{written[1]}, {written[0]}]")
        return (low, high)

    def _within_limits(self, value: float, written: object) -> float:
        if not math.isfinite(value):
            raise UnitError(str(written), "a finite number")
        if not self.low <= value <= self.high:
            unit = f" {self.unit}" if self.unit else ""
            limits = (
                f"at least {self.low:g}" if math.isinf(self.high) else f"from {self.low:g} to {self.high:g}"
            )
            raise UnitError(str(written), f"{limits}{unit}")
        return value


TEXT = FieldRule("text")
FLAG = FieldRule("flag")
SHARE = FieldRule("number", "fraction", 0.0, 1.0)
SPREAD_SHARE = FieldRule("number", "fraction", 0.0, 1.0, spread=True)
HUMIDITY = FieldRule("band", "fraction", 0.0, 1.0)
UV_INDEX = FieldRule("number", "uv_index", 0.0, 50.0)
UV_INDEX_RANGE = FieldRule("pair", "uv_index", 0.0, 50.0)
# Its middle is 1; the spread is what matters.
MULTIPLIER = FieldRule("number", low=1.0, high=1.0, spread=True)


def choice(*choices: str) -> FieldRule:
    """Return the rule of a field that holds one of a few words."""
    return FieldRule("choice", choices=choices)


def quantity(kind: Kind, low: float = 0.0, high: float = math.inf) -> FieldRule:
    """Return the rule of a field that holds a number written with its unit; limits in SI units."""
    return FieldRule("quantity", kind, low, high)


def spread_quantity(kind: Kind, low: float = 0.0, high: float = math.inf) -> FieldRule:
    """Return the rule of a number written with its unit that must have a spread; limits in SI units."""
    return FieldRule("quantity", kind, low, high, spread=True)


def band(kind: Kind, low: float = 0.0, high: float = math.inf) -> FieldRule:
    """Return the rule of two quantities, the lower first, each with its unit; limits in SI units."""
    return FieldRule("band", kind, low, high)


def temperature(*, measured: bool = True, band: bool = True) -> FieldRule:
    """Return the rule of a temperature an animal is kept or found at, from -20 to 80 degrees Celsius."""
    return FieldRule("band" if band else "quantity", "temperature", 253.15, 353.15, measured=measured)


def number(low: float, high: float) -> FieldRule:
    """Return the rule of a field that holds a plain number."""
    return FieldRule("number", low=low, high=high)


def whole(low: int, high: int) -> FieldRule:
    """Return the rule of a field that holds a whole number."""
    return FieldRule("whole", low=low, high=high)


def rules_of(entry: type) -> Mapping[str, FieldRule]:
    """Return the rules that stand in the annotations of an entry's class.

    Parameters
    ----------
    entry : type
        A dataclass whose fields are ``Annotated[Sourced, FieldRule]``.

    Returns
    -------
    rules : mapping of str to FieldRule
        By field, in the order of the class.
    """
    return _rules_of(entry)


def optional_fields(entry: type) -> frozenset[str]:
    """Return the fields that an entry may do without: those whose default is None."""
    return frozenset(f.name for f in dataclasses.fields(entry) if f.default is None)


@cache
def _rules_of(entry: type) -> Mapping[str, FieldRule]:
    hints = get_type_hints(entry, include_extras=True)
    return MappingProxyType({name: hint.__metadata__[0] for name, hint in hints.items()})
