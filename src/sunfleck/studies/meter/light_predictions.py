"""What a meter would read of light at its stations, in any world."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.factors import Spreads
from sunfleck.studies.channels import Channel, Facing, Term
from sunfleck.studies.interreflection import Interior, interior_of
from sunfleck.studies.light import LightField, light_field
from sunfleck.studies.meter.meter_readings import MeterReading

Floats = NDArray[np.float64]
_Key = tuple[Channel, Facing, tuple[tuple[str, float], ...], bool]

UP = (0.0, 0.0, 1.0)
# The hand holds a meter within 2 cm, nine times of ten. Common practice, no source. [m]
HAND = 0.02 / 1.645
ASIDE = 0.01
MOST_HAND = 0.5
# Light that no meter shows is no prediction. [UVI], [lx] or [umol m-2 s-1]
LEAST = 1e-4
MESH = "meshes/"


@dataclass(frozen=True, eq=False)
class Group:
    """Receivers that see the same lamps in one channel, and the terms of light at them.

    Attributes
    ----------
    columns : (n,) int
        Which readings they are. [-]
    terms : tuple of Term
        Contributions that add up.
    coefficients : (terms, n) float
        Each at each receiver, every factor at its middle.
    """

    columns: NDArray[np.int64]
    terms: tuple[Term, ...]
    coefficients: Floats

    def at(self, multipliers: Floats) -> Floats:
        """What is read in worlds of multipliers (m, factors): (m, columns)."""
        columns, powers, places = self._powers
        raised = np.concatenate([multipliers[:, columns], np.ones((len(multipliers), 1))], axis=1)
        for place, exponent in powers:
            raised[:, place] **= exponent
        shares = np.ones((len(multipliers), len(self.terms)))
        for factor in places:
            shares *= raised[:, factor]
        return shares @ self.coefficients

    @cached_property
    def _powers(
        self,
    ) -> tuple[NDArray[np.int64], tuple[tuple[int, float], ...], tuple[NDArray[np.int64], ...]]:
        """Columns of the powers of all terms, where they are raised and to what, and the first, second ... of each term.

        A term of fewer factors than another has the last place, that of a one, instead.
        """
        powers = list(dict.fromkeys(power for term in self.terms for power in term.factors))
        place = {power: k for k, power in enumerate(powers)}
        most = max((len(term.factors) for term in self.terms), default=0)
        rows = [
            [place[power] for power in term.factors] + [len(powers)] * (most - len(term.factors))
            for term in self.terms
        ]
        raised = tuple((k, power.exponent) for k, power in enumerate(powers) if power.exponent != 1.0)
        table = np.array(rows, dtype=np.int64).reshape(len(self.terms), most)
        return np.array([power.column for power in powers], dtype=np.int64), raised, tuple(table.T)


class LightPredictions:
    """What each of n readings of light would be in worlds of the brief's factors.

    Parameters
    ----------
    brief : Brief
        The resolved plan; its factors are the columns of worlds.
    interior : Interior
        Its inside as it reflects.
    readings : sequence of MeterReading
        Of light only.
    """

    def __init__(self, brief: Brief, interior: Interior, readings: Sequence[MeterReading]) -> None:
        self.brief, self.readings = brief, tuple(readings)
        self._spreads = Spreads.of(brief.matrix.factors)
        places = np.array([reading.point for reading in readings]).reshape(-1, 3)
        steps = ASIDE * np.concatenate([np.zeros((1, 3)), np.eye(3), -np.eye(3)])
        points = (places[:, None, :] + steps).reshape(-1, 3)
        fields: dict[bool, LightField] = {}
        for lifted in {reading.lifted for reading in readings}:
            seen, inside = brief, interior
            if lifted:
                seen = without_meshes(brief)
                inside = interior_of(seen, grain=interior.grain)
            closely = np.ones(len(points), dtype=bool)
            fields[lifted] = light_field(seen, points, UP, inside, closely=closely)
        self._groups: list[Group] = []
        self.of_lamps = np.zeros((len(brief.fixtures), len(readings)))
        """What each lamp gives of each reading in the world that is expected, (fixtures, n)."""
        aside = np.full((len(readings), len(steps)), np.nan)
        for key, columns in self._alike().items():
            quantity, facing, lit, lifted = key
            channel = fields[lifted].channel(quantity, facing, dict(lit), as_planned=False)
            terms = channel.terms
            whole = np.nan_to_num(channel.coefficients())
            taken = columns[:, None] * len(steps) + np.arange(len(steps))
            expected = np.array([brief.matrix.expected_product(term.factors) for term in terms])
            aside[columns] = np.tensordot(expected, whole[:, taken], axes=1) if len(terms) else 0.0
            self._groups.append(Group(columns, terms, whole[:, taken[:, 0]]))
            for t, term in enumerate(terms):
                self.of_lamps[term.fixture.index, columns] += expected[t] * whole[t, taken[:, 0]]
        self.expected = aside[:, 0]
        self.hand = hand_error(aside, brief.surroundings.solid_at(points).reshape(aside.shape))
        """One standard deviation of each reading's logarithm by a hand that is off, (n,). [-]"""

    def of(self, readings: Sequence[MeterReading]) -> LightPredictions:
        """The same places, read anew: of the same kinds, lamps and meshes, with other values."""
        again = copy(self)
        again.readings = tuple(readings)
        return again

    @property
    def readable(self) -> NDArray[np.bool_]:
        """Whether any light is predicted there at all, (n,)."""
        return np.asarray(np.nan_to_num(self.expected) > LEAST)

    def logarithms(self, worlds: Floats) -> Floats:
        """Logarithm of each reading in worlds (m, factors), in standard deviations: (m, n)."""
        multipliers = self._spreads.multipliers(worlds)
        found = np.zeros((len(worlds), len(self.readings)))
        for group in self._groups:
            found[:, group.columns] = group.at(multipliers)
        # What is not a number is no light; a world too far off for one is as bright as numbers go.
        return np.log(np.minimum(np.fmax(found, LEAST), np.finfo(np.float64).max))

    def _alike(self) -> dict[_Key, NDArray[np.int64]]:
        """Readings of one channel, one way to hold the sensor, and the same lamps and meshes."""
        found: dict[_Key, list[int]] = {}
        for k, reading in enumerate(self.readings):
            assert reading.quantity in ("uvi", "lux", "ppfd")
            facing: Facing = "brightest" if reading.hold == "to the light" else "normal"
            found.setdefault((reading.quantity, facing, reading.at_levels, reading.lifted), []).append(k)
        return {key: np.array(columns) for key, columns in found.items()}


def hand_error(light: Floats, solid: NDArray[np.bool_]) -> Floats:
    """How far a hand that is off within 2 cm moves a reading's logarithm.

    Parameters
    ----------
    light : (n, 7) float
        What is read at each place, then 1 cm aside along x, y, z, then the other way.
    solid : (n, 7) bool
        Which of these lie inside something, where no meter goes: the way to the free side counts alone.

    Returns
    -------
    error : (n,) float
        One standard deviation, at most 0.5: a reading that its hand could double tells little, but never nothing. [-]
    """
    if not len(light):
        return np.zeros(0)
    logs = np.where(solid, np.nan, np.log(np.clip(np.nan_to_num(light), LEAST, None)))
    here, there, back = logs[:, :1], logs[:, 1:4], logs[:, 4:7]
    both = (there - back) / (2 * ASIDE)
    one = np.where(np.isnan(there), here - back, there - here) / ASIDE
    slopes = np.where(np.isnan(both), one, both)
    # Between two surfaces nobody knows; the other ways stand for it.
    usual = np.sqrt(
        np.nanmean(np.where(np.isnan(slopes).all(axis=1, keepdims=True), 0.0, slopes) ** 2, axis=1)
    )
    squares = np.where(np.isnan(slopes), usual[:, None] ** 2, slopes**2).sum(axis=1)
    return np.asarray(np.minimum(HAND * np.sqrt(squares), MOST_HAND))


def without_meshes(brief: Brief) -> Brief:
    """The same plan with every mesh of its carcass lifted away."""
    around = brief.surroundings
    kept = tuple(sheet for sheet in around.sheets if not sheet.medium.id.startswith(MESH))
    return replace(brief, surroundings=replace(around, sheets=kept))
