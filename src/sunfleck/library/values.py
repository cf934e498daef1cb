"""A value with its credentials."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

BASES: Final = ("measured", "published", "derived", "common practice", "from memory")
"""How well a value can be known, best first. A derived value is no better than what it is derived from."""

UNSETTLED: Final = ("common practice", "from memory")
"""The bases that a reading or a published table should replace."""

MEASURED_WITH: Final = ("surface", "shaded air", "body")
"""What a temperature can be the temperature of."""

Value = float | str | bool | tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Sourced:
    """A value of the library and where it comes from.

    Attributes
    ----------
    value : float, str, bool or tuple of float
        In `unit`.
    unit : str
        SI unit of the number; empty for words, shares and plain numbers.
    source : str
        Who says so, with the arithmetic where there is any.
    basis : str
        One of `BASES`.
    spread_low, spread_high : float
        Standard deviation of the logarithm below and above `value`, which is the median of a
        two-piece log-normal; 0 where no spread is given. [-]
    note : str
        Conflicts between sources, and what the value does not hold for.
    measured_with : str
        Of a temperature: ``surface`` (infrared thermometer), ``shaded air`` (probe) or ``body``; else empty.
    where : str
        Its place, as ``library lamps/ID: FIELD``.
    """

    value: Value
    unit: str
    source: str
    basis: str
    spread_low: float = 0.0
    spread_high: float = 0.0
    note: str = ""
    measured_with: str = ""
    where: str = ""
