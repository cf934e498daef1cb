"""What nobody knows of an enclosure's heat, and of what its lamps radiate, as worlds of the study of heat."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.heat import SHIFTS

Floats = NDArray[np.float64]

LAID_OVER = ("rise", "place", "near")
"""Fields that are laid over days that were found without them."""


@dataclass(frozen=True, slots=True)
class Loose:
    """One world's deviations from what is written; neutral as it stands.

    Attributes
    ----------
    entrainment, origin, mixing : float
        Of plumes, their virtual origins, and what mixes layers. [-]
    films, outer, walls, leaks, ground, sun : float
        Of heat from surfaces to the air inside, from walls to the room, through walls, through vents and gaps, of what
        the ground conducts and stores, and of the sun. [-]
    room : float
        How much warmer the room is than written. [K]
    rise, place, near : float
        How much farther from the room's the air is, how much warmer at one place than its layer, and how much warmer
        beside a warmed patch: what layers and surfaces of even temperature leave out. They are laid over the days,
        which do not know them. [-], [K], [K]
    lamps : tuple of float
        What each lamp radiates; empty where all are as written. [-]
    """

    entrainment: float = 1.0
    origin: float = 1.0
    mixing: float = 1.0
    films: float = 1.0
    outer: float = 1.0
    walls: float = 1.0
    leaks: float = 1.0
    ground: float = 1.0
    sun: float = 1.0
    room: float = 0.0
    rise: float = 1.0
    place: float = 0.0
    near: float = 0.0
    lamps: tuple[float, ...] = ()


@dataclass(frozen=True, eq=False)
class LooseMatrix:
    """Every world's deviations, in standard deviations.

    Attributes
    ----------
    fields : tuple of str
        Which field of `Loose` each column moves; ``lamps:K`` for the K-th lamp.
    spreads : (k,) float
        One standard deviation of each: of the logarithm, or in kelvin. [-]
    normals : (rows, k) float
        Standard deviations in each row. [-]
    labels : tuple of str
        What each stands for, in a builder's words.
    centre : (k,) float
        The world that is expected: all zeros until readings move it. [-]
    """

    fields: tuple[str, ...]
    spreads: Floats
    normals: Floats
    labels: tuple[str, ...]
    centre: Floats

    @cached_property
    def distances(self) -> Floats:
        """How far each world is from the expected one, in steps of one standard deviation up or down, (rows, k). [-]

        What a lamp does grows with its output, not with the logarithm of it: two standard deviations up are more than
        two steps, two down are less.
        """
        found = self.normals - self.centre
        for k, field in enumerate(self.fields):
            spread = float(self.spreads[k])
            if field.startswith("lamps:") and spread > 1e-4:
                z = found[:, k]
                up, down = np.expm1(spread * z) / np.expm1(spread), np.expm1(spread * z) / -np.expm1(-spread)
                found[:, k] = np.where(z > 0, up, down)
        return found

    @cached_property
    def expected(self) -> Loose:
        """The world that is expected."""
        return self._world(self.centre)

    def moved(self, column: int, by: float) -> Loose:
        """The expected world with one thing off by so many standard deviations."""
        steps = self.centre.copy()
        steps[column] += by
        return self._world(steps)

    def _world(self, steps: Floats) -> Loose:
        lamps = []
        moved: dict[str, Any] = {}
        for field, size in zip(self.fields, steps * self.spreads, strict=True):
            if field.startswith("lamps:"):
                lamps.append(float(np.exp(size)))
            else:
                moved[field] = float(size) if field in SHIFTS else float(np.exp(size))
        return Loose(**moved, lamps=tuple(lamps))


def loose_matrix(brief: Brief, like: LooseMatrix | None = None) -> LooseMatrix:
    """Join what nobody knows of heat and what is not known of the lamps.

    Parameters
    ----------
    brief : Brief
        The resolved plan, with the matrices of light and of heat.
    like : LooseMatrix, optional
        Of the same plan with other worlds: its standard deviations and its expected world are kept.

    Returns
    -------
    matrix : LooseMatrix
        A row for each of the worlds of light.
    """
    heat = brief.heat
    fields = [factor.id.split(":")[1] for factor in heat.factors]
    labels = [factor.label for factor in heat.factors]
    spreads = [factor.spread_low for factor in heat.factors]
    shifts = np.array([factor.shift for factor in heat.factors])
    columns = list(np.where(shifts, heat.multipliers, heat.normals).T)
    centre = list(np.where(shifts, heat.expected, heat.centre))
    for fixture in brief.fixtures:
        output = fixture.outputs.get("radiant")
        factors = output.factors if output is not None else ()
        worlds = np.log(brief.matrix.product(factors))
        expected = float(np.log(brief.matrix.expected_product(factors)))
        spread = max(1e-6, float(worlds.std())) if like is None else float(like.spreads[len(fields)])
        fields.append(f"lamps:{fixture.index}")
        spreads.append(spread)
        columns.append(worlds / spread)
        centre.append(expected / spread)
        labels.append(f"how much {fixture.name} radiates")
    middle = np.array(centre) if like is None else like.centre
    return LooseMatrix(tuple(fields), np.array(spreads), np.stack(columns, axis=1), tuple(labels), middle)
