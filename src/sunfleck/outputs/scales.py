"""Round numbers: the colour scale that all maps of a channel share, rulers and scale bars."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite, log10
from typing import Literal

import numpy as np
from numpy.typing import NDArray

System = Literal["metric", "us"]

CHANNEL_WORDS = {
    "uvi": ("UV index", "UVI"),
    "lux": ("brightness", "lux"),
    "ppfd": ("plant light", "µmol/m²/s"),
    "radiant": ("radiant heat", "W/m²"),
    "uvi-day": ("UV over the day", "UVI h"),
    "lux-day": ("brightness over the day", "klx h"),
    "ppfd-day": ("plant light over the day", "mol/m²"),
    "radiant-day": ("radiant heat over the day", "kWh/m²"),
}
# Close to a lamp light grows without end; the scale serves the places where an animal sits: all but
# the brightest 0.5 % of the perches. Where no ceiling says how much is too much, it serves most of
# the cuts too: a ground dweller's place is on them, not on a perch.
SHARE_OF_PERCHES = 0.995
SHARE_OF_CUTS = 0.95
BEYOND_CEILING = 1.25
FAINTEST = 1e-9  # less than any meter shows, in every channel's unit
ABOUT_LEVELS = 6
INCH = 0.0254  # exact since 1959, international yard and pound agreement. [m]


@dataclass(frozen=True, slots=True)
class ColourScale:
    """Colours from zero to a round top.

    Attributes
    ----------
    top : float
        The value of the last colour, in the channel's unit.
    levels : tuple of float
        Round values between zero and `top`, for iso-lines and ticks.
    goes_on : bool
        Whether some places are brighter than `top`.
    """

    top: float
    levels: tuple[float, ...]
    goes_on: bool


def colour_scale(
    cuts: Sequence[NDArray[np.float64]],
    perches: Sequence[NDArray[np.float64]],
    floor: float | None,
    ceiling: float | None,
) -> ColourScale:
    """Return one scale for all pictures of a channel, so that a colour means the same on each.

    Parameters
    ----------
    cuts, perches : sequence of array
        Every field that will be shown; NaN and infinite values are left out.
    floor, ceiling : float, optional
        Wanted range. The scale reaches to the floor, and beyond the ceiling where a field does.

    Returns
    -------
    scale : ColourScale
        Zero to one when nothing is lit, or by less than any meter shows.
    """
    on_cuts, on_perches = _finite(cuts), _finite(perches)
    largest = float(max(on_cuts.max(initial=0.0), on_perches.max(initial=0.0)))
    top = float(np.quantile(on_perches, SHARE_OF_PERCHES)) if len(on_perches) else 0.0
    if len(on_cuts) and (ceiling is None or top < FAINTEST):
        top = max(top, float(np.quantile(on_cuts, SHARE_OF_CUTS)))
    if floor is not None:
        top = max(top, floor)
    if ceiling is not None and largest > ceiling:
        top = max(top, BEYOND_CEILING * ceiling)
    if top < FAINTEST:
        top = largest if largest >= FAINTEST else 1.0
    step = round_step(top / ABOUT_LEVELS)
    count = ceil(top / step - 1e-9)
    # Multiplied and rounded to the step's own digits: no 0.30000000000000004 on a picture.
    levels = tuple(_clean(step * k, step) for k in range(1, count + 1))
    return ColourScale(top=levels[-1], levels=levels, goes_on=largest > levels[-1])


def _finite(fields: Sequence[NDArray[np.float64]]) -> NDArray[np.float64]:
    values = np.concatenate([np.ravel(field) for field in fields]) if fields else np.zeros(0)
    return np.asarray(values[np.isfinite(values)])


def round_step(about: float) -> float:
    """Return the 1, 2, 2.5 or 5 times a power of ten next above a number."""
    if not (isfinite(about) and about > 0):
        return 1.0
    size = 10.0 ** floor_log(about)
    return next(size * lead for lead in (1.0, 2.0, 2.5, 5.0, 10.0) if size * lead >= about * (1 - 1e-9))


def floor_log(value: float) -> int:
    """Return the power of ten of a number's first digit."""
    return floor(log10(value))


def _clean(value: float, step: float) -> float:
    return round(value, max(0, 1 - floor_log(step)))


def number_words(value: float, channel: str) -> str:
    """Return a value of a channel with the digits it deserves: UV index to 0.1, others to two."""
    if channel == "uvi":
        return f"{value:.1f}"
    digits = max(0, 1 - floor_log(abs(value))) if value else 0
    return f"{value:,.{digits}f}"


def value_words(value: float, channel: str) -> str:
    """Return a single value as it is told: UV index to 0.1, others to two digits, for lamps are not known better."""
    if channel == "uvi" or abs(value) < 100:
        return number_words(value, channel)
    return f"{round(value, 1 - floor_log(abs(value))):,.0f}"


def level_words(value: float) -> str:
    """Return a round level without needless zeros."""
    return f"{value:,.0f}" if value >= 10 and value == round(value) else f"{value:g}"


def channel_words(channel: str, unit: str) -> tuple[str, str]:
    """Return a channel's name and unit in a builder's words."""
    return CHANNEL_WORDS.get(channel, (channel, unit))


@dataclass(frozen=True, slots=True)
class Ruler:
    """Lengths on a picture in the user's units.

    Attributes
    ----------
    unit : str
        ``cm`` or ``in``.
    metre : float
        How many of them a metre is.
    steps : tuple of float
        Round lengths for ticks and scale bars, in `unit`.
    """

    unit: str
    metre: float
    steps: tuple[float, ...]

    def words(self, length: float) -> str:
        """Return a length: whole centimetres, inches to a half."""
        value = length * self.metre
        if self.unit == "in":
            return f"{round(value * 2) / 2:g} in"
        return f"{round(value):g} cm"

    def step(self, length: float, about: int) -> float:
        """Return the round step that divides a length into about so many parts, in `unit`."""
        wanted = length * self.metre / about
        return next((step for step in self.steps if step >= wanted * 0.8), self.steps[-1])

    def ticks(self, low: float, high: float, about: int = 5) -> NDArray[np.float64]:
        """Return round places between two lengths given in metres, in metres."""
        step = self.step(high - low, about)
        first = ceil(low * self.metre / step - 1e-6)
        last = floor(high * self.metre / step + 1e-6)
        return np.asarray(np.arange(first, last + 1) * step / self.metre, dtype=np.float64)


METRIC = Ruler("cm", 100.0, (1, 2, 5, 10, 20, 25, 50, 100, 200, 500))
US = Ruler("in", 1 / INCH, (0.5, 1, 2, 4, 6, 12, 24, 36, 60, 120, 240))


def ruler(system: System) -> Ruler:
    """Return the ruler of a system of units."""
    return US if system == "us" else METRIC


def other_ruler(own: Ruler) -> Ruler:
    """Return the ruler of the other system, for the small second figure."""
    return METRIC if own is US else US
