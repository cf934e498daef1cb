"""What is not known of lamps, meshes and heat, as a builder names it: one thing, many factors."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.factors import FactorMatrix, FactorPower
from sunfleck.studies.channels import LABELS

Floats = NDArray[np.float64]

# Thus wide, below and above, is nine times of ten. [-]
NINE_OF_TEN = (5.0, 95.0)
# What a reading moves by less than this it does not tell of. [-]
NARROWED, MOVED = 0.9, 0.05


@dataclass(frozen=True)
class Thing:
    """A lamp's output, a mesh, what heat passes by.

    Attributes
    ----------
    id, words : str
        Its place in results, and in a builder's words.
    kind : str
        ``lamp``, ``sheet``, ``heat`` or ``other``.
    powers : tuple of FactorPower
        Factors whose product it is.
    of_heat : bool
        Whether these are columns of the block of heat.
    fixture : str
        Of a lamp its name.
    """

    id: str
    words: str
    kind: str
    powers: tuple[FactorPower, ...]
    of_heat: bool = False
    fixture: str = ""

    def logarithms(self, brief: Brief) -> Floats:
        """In every row, against what is written, (rows,). Of a shift the shift itself."""
        matrix = brief.heat if self.of_heat else brief.matrix
        if self.is_shift(matrix):
            column = self.powers[0].column
            return np.asarray(matrix.multipliers[:, column] * matrix.factors[column].spread_high)
        return np.log(matrix.product(self.powers))

    def expected(self, brief: Brief) -> float:
        """In the world that is expected, as `logarithms` counts it."""
        matrix = brief.heat if self.of_heat else brief.matrix
        if self.is_shift(matrix):
            column = self.powers[0].column
            return float(matrix.expected[column] * matrix.factors[column].spread_high)
        return float(np.log(matrix.expected_product(self.powers)))

    def is_shift(self, matrix: FactorMatrix) -> bool:
        """Whether it is added, not multiplied."""
        return len(self.powers) == 1 and matrix.factors[self.powers[0].column].shift


@dataclass(frozen=True, eq=False)
class Learned:
    """What readings say of one thing.

    Attributes
    ----------
    thing : Thing
        Which.
    expected : float
        How much of what was written it is, or how many kelvin more. [-], [K]
    low, high : float
        Between which it lies nine times of ten.
    before_low, before_high : float
        The same before the readings.
    unit : str
        "" of a share, ``K`` or ``m`` of a shift.
    shift : bool
        Whether it is added, not multiplied.
    """

    thing: Thing
    expected: float
    low: float
    high: float
    before_low: float
    before_high: float
    unit: str
    shift: bool

    @property
    def narrowed(self) -> bool:
        """Whether it is known better than before, or elsewhere."""
        if self.shift or self.before_high <= self.before_low:
            return (self.high - self.low) < NARROWED * (self.before_high - self.before_low)
        width, before = np.log(self.high / self.low), np.log(self.before_high / self.before_low)
        return bool(width < NARROWED * before or abs(np.log(self.expected)) > MOVED)


def things_of(brief: Brief) -> Iterator[Thing]:
    """Yield what is not known of a plan.

    Parameters
    ----------
    brief : Brief
        The resolved plan.

    Yields
    ------
    thing : Thing
        Each lamp in each kind of light, each sheet, then heat.
    """
    in_lamps: set[int] = set()
    for fixture in brief.fixtures:
        # Kinds of light that differ by the same factors are one thing.
        alike: dict[tuple[FactorPower, ...], list[str]] = {}
        for channel, output in fixture.outputs.items():
            alike.setdefault(output.factors, []).append(channel)
        for powers, channels in alike.items():
            in_lamps |= {power.column for power in powers}
            kinds = [LABELS[channel] for channel in channels]
            named = " and ".join([", ".join(kinds[:-1]), kinds[-1]]) if len(kinds) > 1 else kinds[0]
            words, id_ = f"{named} of {fixture.name}", f"lamp:{fixture.index}:{channels[0]}"
            yield Thing(id_, words, "lamp", powers, fixture=fixture.name)
    for column, factor in enumerate(brief.matrix.factors):
        if factor.group == "medium":
            yield Thing(factor.id, factor.label, "sheet", (FactorPower(column),))
        elif column not in in_lamps and factor.group not in ("meter", "hand"):
            yield Thing(factor.id, factor.label, "other", (FactorPower(column),))
    for column, factor in enumerate(brief.heat.factors):
        yield Thing(factor.id, factor.label, "heat", (FactorPower(column),), of_heat=True)


def learned_of(thing: Thing, before: Brief, after: Brief) -> Learned:
    """Hold a thing after some readings against what was known of it."""
    matrix = before.heat if thing.of_heat else before.matrix
    rows, earlier = thing.logarithms(after), thing.logarithms(before)
    both = np.percentile(np.stack([rows, earlier]), NINE_OF_TEN, axis=1)
    values = [thing.expected(after), *both[:, 0], *both[:, 1]]
    unit, shift = "", thing.is_shift(matrix)
    if shift:
        unit = "K" if thing.of_heat else matrix.factors[thing.powers[0].column].unit
    else:
        values = [np.exp(value) for value in values]
    expected, low, high, before_low, before_high = (float(value) for value in values)
    return Learned(thing, expected, low, high, before_low, before_high, unit, shift)
