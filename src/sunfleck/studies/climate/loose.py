"""What nobody knows of an enclosure's heat: named factors, in a block of the matrix of their own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.factors import SEED, Factor, FactorMatrix, FactorTable

Floats = NDArray[np.float64]

LAID_OVER = ("rise", "place", "near")
"""Fields that are laid over days that were found without them."""
SHIFTS = ("room", "place", "near")

# The block is drawn apart from that of light, so that light's numbers do not change with heat's factors; row by row
# both are one world.
SEED_OF_HEAT = SEED + 1
FITTED = "fitted to a flow computation of one box, good on four others to 0.15-0.6 K; computed, not measured"


HANDBOOK = "handbook laws hold to 20 %"
LEFT_OUT = (
    "layers and surfaces of even temperature, dry air; held against computed flows, not yet against readings"
)
BESIDE = "probes that keepers hang at the warm end read some kelvin more than level layers of air"
PLACES = "air of one height differs from place to place, nine times of ten by no more than 1 K in shade"
SPREADS = (
    ("entrainment", 0.15, "how fast rising warm air takes air in", FITTED),
    ("origin", 0.40, "how wide rising warm air is where it begins", FITTED),
    ("mixing", 0.45, "how well layers of air mix", FITTED),
    ("films", 0.15, "how well surfaces pass heat to the air inside", HANDBOOK),
    (
        "outer",
        0.15,
        "how well the outside of the box passes heat to the room",
        "draughts, neighbours, walls behind",
    ),
    (
        "walls",
        0.12,
        "how well walls and panes conduct",
        "boards of one name differ; joints and frames conduct",
    ),
    ("leaks", 0.40, "how wide vents and gaps are for the air", "dust, meshes, strips and laps of doors"),
    ("ground", 0.30, "how well the ground conducts and stores heat", "mixes and their water differ"),
    (
        "sun",
        0.25,
        "how much sun comes through the window",
        "haze, trees, curtains, glazing; a simple cloudless sky",
    ),
    ("rise", 0.15, "what the model leaves out of how much warmer than the room it gets", LEFT_OUT),
    ("place", 0.6, "how much one place differs from its layer", PLACES),
    ("near", 2.5, "how much warmer the air is beside what lamps warm than in its layer", BESIDE),
    (
        "room",
        0.6,
        "how much warmer the room is than written",
        "within 1 K nine times of ten where the box stands",
    ),
)
"""Fields of `Loose`, one standard deviation of each, what it stands for and where the spread comes from."""


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


def heat_factors() -> Iterator[tuple[str, Factor]]:
    """Yield each factor of heat with the field of `Loose` that it moves."""
    for field, spread, label, source in SPREADS:
        shift = field in SHIFTS
        basis = "derived" if source == FITTED else "common practice"
        unit = "K" if shift else ""
        yield field, Factor(f"heat:{field}", label, spread, spread, source, basis, shift=shift, unit=unit)


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
    """

    fields: tuple[str, ...]
    spreads: Floats
    normals: Floats
    labels: tuple[str, ...]

    @cached_property
    def distances(self) -> Floats:
        """How far each world is from the middle, in steps of one standard deviation up or down, (rows, k). [-]

        What a lamp does grows with its output, not with the logarithm of it: two standard deviations up are more than
        two steps, two down are less.
        """
        found = self.normals.copy()
        for k, field in enumerate(self.fields):
            spread = float(self.spreads[k])
            if field.startswith("lamps:") and spread > 1e-4:
                z = self.normals[:, k]
                up, down = np.expm1(spread * z) / np.expm1(spread), np.expm1(spread * z) / -np.expm1(-spread)
                found[:, k] = np.where(z > 0, up, down)
        return found

    def moved(self, column: int, by: float) -> Loose:
        """The world in which one thing is off by so many standard deviations."""
        field, size = self.fields[column], by * float(self.spreads[column])
        if field.startswith("lamps:"):
            lamps = [1.0] * sum(name.startswith("lamps:") for name in self.fields)
            lamps[int(field.split(":")[1])] = float(np.exp(size))
            return Loose(lamps=tuple(lamps))
        moved: dict[str, Any] = {field: size if field in SHIFTS else float(np.exp(size))}
        return replace(Loose(), **moved)


def loose_matrix(brief: Brief) -> LooseMatrix:
    """Draw what nobody knows of heat, and join what is not known of the lamps.

    Parameters
    ----------
    brief : Brief
        The resolved plan, with the matrix of light.

    Returns
    -------
    matrix : LooseMatrix
        A row for each of the worlds of light.
    """
    table = FactorTable()
    fields = []
    factors = []
    for field, factor in heat_factors():
        table.add(factor)
        fields.append(field)
        factors.append(factor)
    drawn: FactorMatrix = table.matrix(brief.matrix.rows, SEED_OF_HEAT)
    spreads = [factor.spread_low for factor in factors]
    columns = [
        drawn.multipliers[:, k] if factor.shift else np.log(drawn.multipliers[:, k]) / factor.spread_low
        for k, factor in enumerate(factors)
    ]
    labels = [factor.label for factor in factors]
    for fixture in brief.fixtures:
        output = fixture.outputs.get("radiant")
        worlds = (
            np.log(brief.matrix.product(output.factors))
            if output is not None
            else np.zeros(brief.matrix.rows)
        )
        spread = max(1e-6, float(worlds.std()))
        fields.append(f"lamps:{fixture.index}")
        spreads.append(spread)
        columns.append(worlds / spread)
        labels.append(f"how much {fixture.name} radiates")
    return LooseMatrix(tuple(fields), np.array(spreads), np.stack(columns, axis=1), tuple(labels))
