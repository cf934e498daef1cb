"""What nobody knows of an enclosure's heat: named factors, in a block of the matrix of their own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.factors import SEED, Factor, FactorMatrix, FactorTable

Floats = NDArray[np.float64]

# The block is drawn apart from that of light, so that light's numbers do not change with heat's factors; row by row
# both are one world.
SEED_OF_HEAT = SEED + 1
FITTED = "fitted to a flow computation of one box, good on four others to 0.15-0.6 K; computed, not measured"


@dataclass(frozen=True, slots=True)
class Loose:
    """One world's deviations from what is written; neutral as it stands.

    Attributes
    ----------
    entrainment, origin, mixing : float
        Of plumes, their virtual origins, and what mixes layers. [-]
    films, outer, walls, leaks, ground : float
        Of heat from surfaces to the air inside, from walls to the room, through walls, through vents and gaps, and of
        what the ground conducts and stores. [-]
    room : float
        How much warmer the room is than written. [K]
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
    room: float = 0.0
    lamps: tuple[float, ...] = ()


def heat_factors() -> Iterator[tuple[str, Factor]]:
    """Yield each factor of heat with the field of `Loose` that it moves."""

    def factor(
        name: str, label: str, spread: float, source: str, *, shift: bool = False, unit: str = ""
    ) -> Factor:
        basis = "derived" if source == FITTED else "common practice"
        return Factor(f"heat:{name}", label, spread, spread, source, basis, shift=shift, unit=unit)

    handbook = "handbook laws hold to 20 %"
    outside = "draughts, neighbours, walls behind"
    boards = "boards of one name differ; joints and frames conduct"
    air = "dust, meshes, strips and laps of doors"
    stands = "within 1 K nine times of ten where the box stands"
    yield "entrainment", factor("entrainment", "how fast rising warm air takes air in", 0.15, FITTED)
    yield "origin", factor("origin", "how wide rising warm air is where it begins", 0.40, FITTED)
    yield "mixing", factor("mixing", "how well layers of air mix", 0.45, FITTED)
    yield "films", factor("films", "how well surfaces pass heat to the air inside", 0.15, handbook)
    yield "outer", factor("outer", "how well the outside of the box passes heat to the room", 0.15, outside)
    yield "walls", factor("walls", "how well walls and panes conduct", 0.12, boards)
    yield "leaks", factor("leaks", "how wide vents and gaps are for the air", 0.40, air)
    yield (
        "ground",
        factor(
            "ground", "how well the ground conducts and stores heat", 0.30, "mixes and their water differ"
        ),
    )
    yield (
        "room",
        factor("room", "how much warmer the room is than written", 0.6, stands, shift=True, unit="K"),
    )


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

    def moved(self, column: int, by: float) -> Loose:
        """The world in which one thing is off by so many standard deviations."""
        field, size = self.fields[column], by * float(self.spreads[column])
        if field.startswith("lamps:"):
            lamps = [1.0] * sum(name.startswith("lamps:") for name in self.fields)
            lamps[int(field.split(":")[1])] = float(np.exp(size))
            return Loose(lamps=tuple(lamps))
        moved: dict[str, Any] = {field: size if field == "room" else float(np.exp(size))}
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
