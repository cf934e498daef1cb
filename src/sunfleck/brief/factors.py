"""Named uncertain factors and the one seeded matrix that all studies share."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.draws import standard_normals

ROWS = 1024
SEED = 20261125
# A shift is cut at so many standard deviations, so that light never turns negative.
MOST_SHIFT = 2.0


@dataclass(frozen=True, slots=True)
class Factor:
    """A multiplier that nobody knows exactly, its middle value 1; or a shift, its middle value 0.

    Attributes
    ----------
    id : str
        Its group, then what it belongs to: ``class:...`` shared by all lamps of a class, ``piece:...`` one lamp,
        ``ageing:...``, ``beam:...``, ``mounting:...``, ``medium:...`` a mesh, pane or guard, ``leaves:...``,
        ``reflection:...``, ``meter:...`` all readings with one meter, ``hand:...`` those of one lamp.
    label : str
        What it stands for, in a builder's words.
    spread_low, spread_high : float
        Standard deviation of its logarithm below and above the middle (one sigma; the 90 % range
        is the middle divided by exp(1.645 low) to times exp(1.645 high)). [-]
    source, basis : str
        Where the spread comes from and how well it is known.
    shift : bool
        Whether it counts standard deviations of something that acts differently at every place, such as a
        lamp hung higher or lower; it is then normal, and cut at `MOST_SHIFT`. Its spreads are what one
        standard deviation stands for, in `unit`.
    unit : str
        Unit of the spreads of a shift.
    one_sided : bool
        Whether a shift is never below zero: half of the worlds have none of it.
    """

    id: str
    label: str
    spread_low: float
    spread_high: float
    source: str
    basis: str
    shift: bool = False
    unit: str = ""
    one_sided: bool = False

    @property
    def group(self) -> str:
        """What kind of thing is not known: the first part of its id."""
        return self.id.split(":")[0]


@dataclass(frozen=True, slots=True)
class FactorPower:
    """A factor to a power: how an output or a share depends on what nobody knows.

    Attributes
    ----------
    column : int
        Which factor.
    exponent : float
        The power: 1 where it multiplies, -1 where it divides. [-]
    """

    column: int
    exponent: float = 1.0


class FactorTable:
    """Collects factors while the brief is made; the same id is the same factor."""

    def __init__(self, factors: tuple[Factor, ...] = ()) -> None:
        self._factors = {factor.id: factor for factor in factors}

    def __len__(self) -> int:
        """Number of factors so far."""
        return len(self._factors)

    def add(self, factor: Factor) -> int:
        """Return the column of a factor, adding it when it is new."""
        self._factors.setdefault(factor.id, factor)
        return list(self._factors).index(factor.id)

    def factor(self, column: int) -> Factor:
        """Return the factor of a column."""
        return list(self._factors.values())[column]

    def matrix(self, rows: int = ROWS, seed: int = SEED) -> FactorMatrix:
        """Draw the matrix for all factors collected."""
        return FactorMatrix.draw(tuple(self._factors.values()), rows, seed)


def multipliers_at(factors: tuple[Factor, ...], normals: NDArray[np.float64]) -> NDArray[np.float64]:
    """Multipliers of factors that are so many standard deviations off their middles.

    Parameters
    ----------
    factors : tuple of Factor
        The columns.
    normals : (..., factors) float
        Standard deviations. [-]

    Returns
    -------
    multipliers : (..., factors) float
        Of a multiplier exp(low z) below the middle and exp(high z) above, so that its median is 1 whatever the
        skew; of a shift z itself, cut at two and, where it is one-sided, at zero. [-]
    """
    return Spreads.of(factors).multipliers(normals)


@dataclass(frozen=True, eq=False)
class Spreads:
    """How factors vary, laid out for arithmetic: a search asks for their multipliers thousands of times.

    Attributes
    ----------
    low, high : (factors,) float
        One standard deviation of a multiplier's logarithm below and above its middle; 0 of a shift. [-]
    shifts : (factors,) bool
        Which of them are shifts. [-]
    lowest : (factors,) float
        Where each shift is cut below. [-]
    """

    low: NDArray[np.float64]
    high: NDArray[np.float64]
    shifts: NDArray[np.bool_]
    lowest: NDArray[np.float64]

    @classmethod
    def of(cls, factors: tuple[Factor, ...]) -> Spreads:
        """Lay out factors."""
        shifts = np.array([factor.shift for factor in factors], dtype=bool)
        low, high = (
            np.where(shifts, 0.0, np.array(spreads, dtype=np.float64))
            for spreads in ([f.spread_low for f in factors], [f.spread_high for f in factors])
        )
        lowest = np.where([factor.one_sided for factor in factors], 0.0, -MOST_SHIFT)
        return cls(low, high, shifts, lowest)

    def multipliers(self, normals: NDArray[np.float64]) -> NDArray[np.float64]:
        """Multipliers (..., factors) that are so many standard deviations off; see :func:`multipliers_at`. [-]"""
        found = np.exp(np.where(normals < 0, self.low, self.high) * normals)
        cut = np.minimum(np.maximum(normals, self.lowest), MOST_SHIFT)
        return np.where(self.shifts, cut, found)


@dataclass(frozen=True, eq=False)
class FactorMatrix:
    """Every factor in every row: one row is one possible world.

    Attributes
    ----------
    factors : tuple of Factor
        The columns.
    normals : (rows, factors) float
        How far each is off its middle, in standard deviations. [-]
    seed : int
        Seed of the scrambled Sobol sequence.
    centre : (factors,) float
        The world that is expected: all zeros until readings move it. [-]
    left : (factors,) float
        How much of each factor's one standard deviation is not known yet: ones until readings narrow it. [-]
    """

    factors: tuple[Factor, ...]
    normals: NDArray[np.float64]
    seed: int
    centre: NDArray[np.float64]
    left: NDArray[np.float64]

    @classmethod
    def draw(cls, factors: tuple[Factor, ...], rows: int, seed: int, *, beside: bool = False) -> FactorMatrix:
        """Draw two-piece log-normal multipliers from a scrambled Sobol sequence.

        Parameters
        ----------
        factors : tuple of Factor
            Columns to draw.
        rows : int
            Number of rows, a power of two. [-]
        seed : int
            Seed of the scrambling. [-]
        beside : bool
            Whether its rows are put beside those of another matrix. [-]

        Returns
        -------
        matrix : FactorMatrix
            The same for the same factors, rows and seed.
        """
        drawn = (
            standard_normals(rows, len(factors), seed, shuffled=beside) if factors else np.zeros((rows, 0))
        )
        return cls(factors, drawn, seed, np.zeros(len(factors)), np.ones(len(factors)))

    def joined(self, factors: tuple[Factor, ...], normals: NDArray[np.float64]) -> FactorMatrix:
        """Return the same worlds with more factors, (rows, more) drawn beside them, of which nothing is read yet."""
        more = len(factors)
        return FactorMatrix(
            (*self.factors, *factors),
            np.concatenate([self.normals, normals], axis=1),
            self.seed,
            np.concatenate([self.centre, np.zeros(more)]),
            np.concatenate([self.left, np.ones(more)]),
        )

    @cached_property
    def multipliers(self) -> NDArray[np.float64]:
        """Multipliers of every factor in every row, (rows, factors). [-]"""
        return multipliers_at(self.factors, self.normals)

    @cached_property
    def expected(self) -> NDArray[np.float64]:
        """Multipliers in the world that is expected, (factors,): 1, or 0 of a shift, until readings move it. [-]"""
        return multipliers_at(self.factors, self.centre)

    def spread(self, column: int) -> tuple[float, float]:
        """One standard deviation of a factor below and above where it is expected, as far as it is known now.

        Of a multiplier that of its logarithm, the factor's own until readings narrow it; of a shift in `unit`. [-]
        """
        factor, at, left = self.factors[column], float(self.centre[column]), float(self.left[column])
        if factor.shift:
            return factor.spread_low * left, factor.spread_high * left
        lower, middle, upper = (
            (factor.spread_low if z < 0 else factor.spread_high) * z for z in (at - left, at, at + left)
        )
        return middle - lower, upper - middle

    @property
    def rows(self) -> int:
        """Number of rows. [-]"""
        return int(self.normals.shape[0])

    def product(self, powers: tuple[FactorPower, ...]) -> NDArray[np.float64]:
        """Product of some factors, each to its power, in every row, (rows,). [-]"""
        found = np.ones(self.rows)
        for power in powers:
            found = found * self.power(power)
        return found

    def power(self, power: FactorPower) -> NDArray[np.float64]:
        """One factor to its power in every row, (rows,). [-]"""
        column = self.multipliers[:, power.column]
        return column if power.exponent == 1.0 else np.asarray(column**power.exponent)

    def expected_product(self, powers: tuple[FactorPower, ...]) -> float:
        """Product of some factors, each to its power, in the world that is expected. [-]"""
        return float(np.prod([self.expected[power.column] ** power.exponent for power in powers]))
