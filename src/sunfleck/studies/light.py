"""Light at receivers: for each fixture and channel, linear in every uncertain factor."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.factors import FactorMatrix
from sunfleck.brief.lamps import UNITS, FixtureBrief, Output
from sunfleck.brief.surroundings import Medium
from sunfleck.errors import DomainError
from sunfleck.physics.transport import Transfer, transfer
from sunfleck.studies.trace import Step, step_of_given

Facing = Literal["normal", "brightest"]
Channel = Literal["uvi", "lux", "ppfd", "radiant"]
METHODS = {
    "line": "exact interval visibility of a diffuse line; closed form on its visible parts",
    "disc": "shadow rays to 16 points of the lamp's opening, 128 where they disagree",
}


@dataclass(frozen=True)
class Term:
    """Light of one fixture that has crossed the same media: output x media x geometry.

    Attributes
    ----------
    fixture : FixtureBrief
        Where it comes from.
    output : Output
        What the fixture puts out.
    media : tuple of Medium
        What it has crossed.
    level : float
        Level asked for on top of the plan's. [-]
    geometry : (n,) float
        Geometry factor at each receiver. [m-2]
    columns : tuple of int
        Its uncertain factors.
    """

    channel: str
    fixture: FixtureBrief
    output: Output
    media: tuple[Medium, ...]
    level: float
    geometry: NDArray[np.float64]
    columns: tuple[int, ...]

    @property
    def strength(self) -> float:
        """Everything but geometry and uncertain factors."""
        through = [medium.transmittance[self.channel].value for medium in self.media]
        return float(self.output.value * self.level * np.prod(through))


@dataclass(frozen=True)
class ChannelField:
    """One channel at n receivers in every row of the factor matrix.

    Attributes
    ----------
    channel, unit : str
        Which light, and its unit.
    terms : tuple of Term
        Contributions that add up.
    matrix : FactorMatrix
        The rows.
    count : int
        Number of receivers.
    """

    channel: str
    unit: str
    terms: tuple[Term, ...]
    matrix: FactorMatrix
    count: int

    @cached_property
    def coefficients(self) -> NDArray[np.float64]:
        """Each term at each receiver with all factors at their middle, (t, n)."""
        if not self.terms:
            return np.zeros((0, self.count))
        return np.array([term.strength * term.geometry for term in self.terms])

    @cached_property
    def multipliers(self) -> NDArray[np.float64]:
        """Product of each term's factors in every row, (t, rows)."""
        if not self.terms:
            return np.zeros((0, self.matrix.rows))
        return np.array([self.matrix.product(term.columns) for term in self.terms])

    @cached_property
    def middle(self) -> NDArray[np.float64]:
        """The field with every factor at its middle, (n,)."""
        return np.asarray(self.coefficients.sum(axis=0))

    def worlds(self, receivers: ArrayLike) -> NDArray[np.float64]:
        """The field at some receivers in every row, (k, rows)."""
        chosen = self.coefficients[:, np.asarray(receivers, dtype=np.int64)]
        return np.asarray(chosen.T @ self.multipliers)

    def largest(
        self, receivers: NDArray[np.int64], chunk: int = 1024
    ) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
        """Largest value among receivers in every row (rows,), and which receiver has it (rows,)."""
        best = np.full(self.matrix.rows, -np.inf)
        which = np.zeros(self.matrix.rows, dtype=np.int64)
        for start in range(0, len(receivers), chunk):
            part = receivers[start : start + chunk]
            values = self.worlds(part)
            top = values.argmax(axis=0)
            value = values[top, np.arange(self.matrix.rows)]
            better = value > best
            best[better] = value[better]
            which[better] = part[top[better]]
        return best, which

    def trace(self, receiver: int, row: int, place: str) -> Step:
        """Take the value at one receiver in one row apart."""
        parts = tuple(
            self._trace_term(term, receiver, row) for term in self.terms if term.geometry[receiver] > 0
        )
        value = float(np.sum([part.value for part in parts])) if parts else 0.0
        label = f"{LABELS[self.channel]} {place}, in row {row + 1} of {self.matrix.rows} (seed {self.matrix.seed})"
        if not parts:
            return Step(
                label, 0.0, self.unit, "computed", (), "no lamp that is lit reaches this place", "derived"
            )
        return Step(label, value, self.unit, "sum", parts)

    def _trace_term(self, term: Term, receiver: int, row: int) -> Step:
        parts = [step_of_given(part) for part in term.output.parts]
        if term.level != 1.0:
            parts.append(Step("level asked for", term.level, "", "given", (), "the question", "given"))
        parts += [step_of_given(medium.transmittance[self.channel]) for medium in term.media]
        method = METHODS["line" if str(term.fixture.lamp.emitter.value) in ("tube", "strip") else "disc"]
        geometry = float(term.geometry[receiver])
        label = "geometry: what this place sees of the lamp"
        parts.append(Step(label, geometry, "m-2", "computed", (), method, "derived"))
        for column in term.columns:
            factor = self.matrix.factors[column]
            multiplier = float(self.matrix.multipliers[row, column])
            spread = f"spread (one sigma of the logarithm) {factor.spread_low:.2f} below, {factor.spread_high:.2f} above"
            parts.append(
                Step(
                    factor.label,
                    multiplier,
                    "",
                    "given",
                    (),
                    f"{factor.source}; {spread}",
                    factor.basis,
                    factor.id,
                )
            )
        through = f" through {' and '.join(medium.label for medium in term.media)}" if term.media else ""
        value = float(np.prod([part.value for part in parts]))
        return Step(f"from {term.fixture.name}{through}", value, self.unit, "product", tuple(parts))


LABELS = {"uvi": "UV index", "lux": "brightness", "ppfd": "plant light", "radiant": "radiant heat"}


@dataclass(frozen=True)
class LightField:
    """Geometry of light at n receivers, per fixture; channels follow by arithmetic.

    Attributes
    ----------
    brief : Brief
        What it was computed for.
    points, normals : (n, 3) float
        Receivers and the way they face. [m]
    transfers : tuple of Transfer
        One a fixture. [m-2]
    """

    brief: Brief
    points: NDArray[np.float64]
    normals: NDArray[np.float64]
    transfers: tuple[Transfer, ...]

    def channel(
        self, channel: Channel, facing: Facing = "normal", lit: Mapping[str, float] | None = None
    ) -> ChannelField:
        """Return one channel as a field that is linear in its uncertain factors.

        Parameters
        ----------
        channel : str
            ``uvi``, ``lux``, ``ppfd`` or ``radiant``. [-]
        facing : str
            ``normal``: as the receivers face. ``brightest``: turned where most light of this
            channel comes from, with every factor at its middle. [-]
        lit : mapping of str to float, optional
            Level of each fixture by name; fixtures not named are off. All on when left out. [-]

        Returns
        -------
        field : ChannelField
            Terms that add up.

        Raises
        ------
        DomainError
            If `lit` names a fixture the plan does not have, or a level below zero.
        """
        levels = _levels(self.brief, lit)
        terms: list[Term] = []
        vectors: list[NDArray[np.float64]] = []
        for fixture, moved in zip(self.brief.fixtures, self.transfers, strict=True):
            output = fixture.outputs.get(channel)
            if output is None or levels[fixture.name] == 0.0:
                continue
            for c, mask in enumerate(moved.groups):
                media = tuple(m for g, m in enumerate(self.brief.surroundings.media) if int(mask) >> g & 1)
                columns = output.factors + tuple(m.factor for m in media if m.factor is not None)
                geometry = moved.facing[:, c]
                term = Term(channel, fixture, output, media, levels[fixture.name], geometry, columns)
                if term.strength > 0:
                    terms.append(term)
                    vectors.append(moved.vector[:, c])
        if facing == "brightest" and terms:
            strengths = np.array([term.strength for term in terms])
            geometries = towards_brightest(np.stack(vectors), strengths)
            terms = [
                Term(t.channel, t.fixture, t.output, t.media, t.level, g, t.columns)
                for t, g in zip(terms, geometries, strict=True)
            ]
        return ChannelField(channel, UNITS[channel], tuple(terms), self.brief.matrix, len(self.points))


def light_field(brief: Brief, points: ArrayLike, normals: ArrayLike) -> LightField:
    """Compute the geometry of light at receivers, once for all channels, levels and factors.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    points : (n, 3) float
        Receivers; those inside something solid get NaN. [m]
    normals : (n, 3) float
        Unit vectors the receivers face along. [-]

    Returns
    -------
    field : LightField
        Direct light only; reflections are not in it.
    """
    p = np.array(points, dtype=np.float64).reshape(-1, 3)
    n = np.broadcast_to(np.asarray(normals, dtype=np.float64), p.shape).copy()
    p[brief.surroundings.solid_at(p)] = np.nan
    scene = brief.surroundings.scene
    transfers = tuple(transfer(scene, fixture.emitter, p, n) for fixture in brief.fixtures)
    return LightField(brief, p, n, transfers)


def towards_brightest(vectors: NDArray[np.float64], strengths: NDArray[np.float64]) -> NDArray[np.float64]:
    """Geometry factors of a receiver turned where most light comes from.

    Parameters
    ----------
    vectors : (t, n, 3) float
        Vector geometry factors of t terms. [m-2]
    strengths : (t,) float
        Strength of each. [-]

    Returns
    -------
    geometry : (t, n) float
        Each term's part on the plane facing the brightest direction. [m-2]

    Notes
    -----
    Where the summed vector has every term in its hemisphere, its own direction is the
    brightest and the sum its norm. Elsewhere (lamps on opposite sides) the sum would cancel;
    there the largest of 160 even directions, the sum's and each term's own is taken, each term
    counted with the part in front of the plane. A term is taken as lying wholly on one side.
    """
    weighted = vectors * strengths[:, None, None]
    total = weighted.sum(axis=0)
    norm = np.linalg.norm(total, axis=-1)
    direction = np.where(norm[:, None] > 0, total / np.where(norm > 0, norm, 1.0)[:, None], 0.0)
    along = np.einsum("tnk,nk->tn", weighted, direction)
    split = np.flatnonzero(
        (along < -1e-12 * norm).any(axis=0) | ((norm == 0) & (weighted != 0).any(axis=(0, 2)))
    )
    if len(split):
        direction[split] = _best_of_many(weighted[:, split])
    return np.asarray(np.maximum(np.einsum("tnk,nk->tn", vectors, direction), 0.0))


def _best_of_many(weighted: NDArray[np.float64]) -> NDArray[np.float64]:
    own = np.moveaxis(weighted, 0, 1)
    length = np.linalg.norm(own, axis=-1, keepdims=True)
    own = own / np.where(length > 0, length, 1.0)
    best = np.zeros((weighted.shape[1], 3))
    for i in range(weighted.shape[1]):
        candidates = np.concatenate([EVEN_DIRECTIONS, own[i]])
        totals = np.maximum(candidates @ weighted[:, i].T, 0.0).sum(axis=1)
        best[i] = candidates[int(totals.argmax())]
    return best


def _even_directions(count: int) -> NDArray[np.float64]:
    # A Fibonacci lattice: even to a few per cent, and the same on every machine.
    k = np.arange(count) + 0.5
    z = 1 - 2 * k / count
    turn = np.pi * (3 - np.sqrt(5)) * k
    ring = np.sqrt(1 - z * z)
    return np.stack([ring * np.cos(turn), ring * np.sin(turn), z], axis=1)


EVEN_DIRECTIONS = _even_directions(160)


def _levels(brief: Brief, lit: Mapping[str, float] | None) -> dict[str, float]:
    names = [fixture.name for fixture in brief.fixtures]
    if lit is None:
        return dict.fromkeys(names, 1.0)
    for name, level in lit.items():
        if name not in names:
            msg = f"lit names {name!r}; the plan's fixtures are {', '.join(names)}"
            raise DomainError(msg)
        if not np.isfinite(level) or level < 0:
            msg = f"the level of {name!r} must be zero or more; got {level:g}"
            raise DomainError(msg)
    return {name: float(lit.get(name, 0.0)) for name in names}
