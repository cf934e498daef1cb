"""Light at receivers: for each fixture and channel, linear in every uncertain factor."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.factors import FactorMatrix
from sunfleck.brief.lamps import UNITS, FixtureBrief, Output
from sunfleck.brief.media import Medium, media_met_by
from sunfleck.errors import DomainError
from sunfleck.physics.transport import Scene, Transfer, transfer
from sunfleck.studies.brightest import towards_brightest
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
        Level of the lamp: that of the plan, or full, times what is asked for. [-]
    as_planned : bool
        Whether the plan's dimming is in it.
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
    as_planned: bool
    geometry: NDArray[np.float64]
    columns: tuple[int, ...]

    @property
    def strength(self) -> float:
        """Everything but geometry and uncertain factors."""
        through = [medium.transmittance[self.light].value for medium in crossed(self.media)]
        return float(self.output.value * self.level * np.prod(through))

    @property
    def light(self) -> str:
        """What kind of light the media let through: the channel, or the long-wave heat of a dark heater."""
        return light_of(self.fixture, self.channel)


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

    def largest(self, receivers: NDArray[np.int64]) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
        """Largest value among receivers in every row (rows,), and which receiver has it (rows,)."""
        if not self.terms:
            return np.zeros(self.matrix.rows), np.full(self.matrix.rows, receivers[0])
        rivals = receivers[self._may_lead(receivers)]
        values = self.worlds(rivals)
        top = values.argmax(axis=0)
        return values[top, np.arange(self.matrix.rows)], rivals[top]

    def _may_lead(self, receivers: NDArray[np.int64]) -> NDArray[np.bool_]:
        """Which receivers could be the largest in some row, whatever the factors are within their draws."""
        leader = receivers[int(self.middle[receivers].argmax())]
        ahead = self.coefficients[:, receivers] - self.coefficients[:, [leader]]
        most, least = self.multipliers.max(axis=1), self.multipliers.min(axis=1)
        best_case = np.maximum(ahead, 0.0).T @ most + np.minimum(ahead, 0.0).T @ least
        return np.asarray(best_case >= 0.0)

    def trace(self, receiver: int, row: int, place: str) -> Step:
        """Take the value at one receiver in one row apart."""
        parts = tuple(
            self._trace_term(term, receiver, row) for term in self.terms if term.geometry[receiver] > 0
        )
        value = float(np.sum([part.value for part in parts])) if parts else 0.0
        label = f"{LABELS[self.channel]} {place}, in row {row + 1} of {self.matrix.rows} (seed {self.matrix.seed})"
        if not parts:
            return Step(
                label,
                0.0,
                self.unit,
                "computed",
                (),
                "no light of this kind gets here: no such lamp is lit, or a pane or something opaque is between",
                "derived",
            )
        return Step(label, value, self.unit, "sum", parts)

    def _trace_term(self, term: Term, receiver: int, row: int) -> Step:
        parts = [step_of_given(part) for part in term.output.parts]
        parts.append(step_of_given(term.fixture.level) if term.as_planned else FULL_LEVEL)
        asked = term.level / (term.fixture.level.value if term.as_planned else 1.0)
        if asked != 1.0:
            parts.append(Step("level asked for", asked, "", "given", (), "the question", "given"))
        parts += [step_of_given(medium.transmittance[term.light]) for medium in crossed(term.media)]
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
        names = [m.label if m.crossings == 1 else f"the {m.label} of another lamp" for m in term.media]
        through = f" through {' and '.join(names)}" if names else ""
        value = float(np.prod([part.value for part in parts]))
        return Step(f"from {term.fixture.name}{through}", value, self.unit, "product", tuple(parts))


FULL_LEVEL = Step("full level", 1.0, "", "given", (), "ceilings are judged undimmed", "given")


def light_of(fixture: FixtureBrief, channel: str) -> str:
    """Return the kind of light a pane sees: heat of a lamp that does not glow is long-wave."""
    dark = str(fixture.lamp.emitter.value) == "heater"
    return "long_wave" if dark and channel == "radiant" else channel


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
    media : tuple of tuple of Medium
        For each fixture the media of its transfer's groups.
    """

    brief: Brief
    points: NDArray[np.float64]
    normals: NDArray[np.float64]
    transfers: tuple[Transfer, ...]
    media: tuple[tuple[Medium, ...], ...]

    def channel(
        self,
        channel: Channel,
        facing: Facing = "normal",
        lit: Mapping[str, float] | None = None,
        *,
        as_planned: bool = True,
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
        as_planned : bool
            Whether lamps are dimmed as the plan says, or at full level. [-]

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
        for fixture, moved, met in zip(self.brief.fixtures, self.transfers, self.media, strict=True):
            output = fixture.outputs.get(channel)
            if output is None or levels[fixture.name] == 0.0:
                continue
            for c, mask in enumerate(moved.groups):
                media = tuple(medium for g, medium in enumerate(met) if int(mask) >> g & 1)
                light = light_of(fixture, channel)
                uncertain = tuple(m.factor[light] for m in crossed(media) if light in m.factor)
                columns = output.factors + uncertain
                geometry = moved.facing[:, c]
                level = levels[fixture.name] * (fixture.level.value if as_planned else 1.0)
                term = Term(channel, fixture, output, media, level, as_planned, geometry, columns)
                if term.strength > 0:
                    terms.append(term)
                    vectors.append(moved.vector[:, c])
        if facing == "brightest" and terms:
            strengths = np.array([term.strength for term in terms])
            geometries = towards_brightest(np.stack(vectors), strengths)
            terms = [replace(t, geometry=g) for t, g in zip(terms, geometries, strict=True)]
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
    around = brief.surroundings
    met = [media_met_by(around.sheets, fixture.axis) for fixture in brief.fixtures]
    transfers = tuple(
        transfer(Scene(around.bvh, media), fixture.emitter, p, n)
        for fixture, (media, _) in zip(brief.fixtures, met, strict=True)
    )
    return LightField(brief, p, n, transfers, tuple(kinds for _, kinds in met))


def crossed(media: tuple[Medium, ...]) -> tuple[Medium, ...]:
    """Return the media as often as the light goes through them."""
    return tuple(medium for medium in media for _ in range(medium.crossings))


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
