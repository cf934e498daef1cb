"""One channel of light at receivers, as terms that are linear in every uncertain factor."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.brief.factors import FactorMatrix, FactorPower
from sunfleck.brief.givens import Given
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.brief.media import Medium
from sunfleck.brief.outputs import Output
from sunfleck.studies.trace import Step, step_of_given

# How many rows are tried to find receivers that surpass others.
LEADERS = 8
Facing = Literal["normal", "brightest"]
Channel = Literal["uvi", "lux", "ppfd", "radiant"]
METHODS = {
    "line": "exact interval visibility of a diffuse line; closed form on its visible parts",
    "disc": "exact visibility along chords of the lamp's opening, 24 or, where nothing can be in the way, 10; "
    "Gauss's rule on their visible parts",
    "reflected": "what walls, ground and furnishing give back, in all directions alike",
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
    factors : tuple of FactorPower
        Its uncertain factors.
    reflected : bool
        Whether it has been reflected, or comes straight from the lamp.
    given_back_by : callable or None
        Of reflected light: says for a receiver what gives most of it back.
    shift : str
        What it is the effect of, if that is none when every factor is at its middle; otherwise "".
    in_air : Given or None
        What the lamp gives in the air that it burns in, against the air that it is rated in; None where that is
        not counted. [-]
    """

    channel: str
    fixture: FixtureBrief
    output: Output
    media: tuple[Medium, ...]
    level: float
    as_planned: bool
    geometry: NDArray[np.float64]
    factors: tuple[FactorPower, ...]
    reflected: bool
    given_back_by: Callable[[int], str] | None = None
    shift: str = ""
    in_air: Given | None = None

    @property
    def strength(self) -> float:
        """Everything but geometry and uncertain factors."""
        through = [medium.transmittance[self.light].value for medium in crossed(self.media)]
        in_air = self.in_air.value if self.in_air is not None else 1.0
        return float(self.output.value * self.level * in_air * np.prod(through))

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

    def coefficients(self, receivers: NDArray[np.int64] | None = None) -> NDArray[np.float64]:
        """Each term at some receivers (t, k), or at all (t, n), with all factors at their middle.

        Not kept: of a few animals and channels it would be most of what a program open for hours holds.
        """
        chosen = np.arange(self.count) if receivers is None else receivers
        if not self.terms:
            return np.zeros((0, len(chosen)))
        geometry: NDArray[np.float64] = np.array([term.geometry[chosen] for term in self.terms])
        return self._strengths[:, None] * geometry

    @cached_property
    def _strengths(self) -> NDArray[np.float64]:
        return np.array([term.strength for term in self.terms])

    @cached_property
    def multipliers(self) -> NDArray[np.float64]:
        """Product of each term's factors in every row, (t, rows)."""
        if not self.terms:
            return np.zeros((0, self.matrix.rows))
        return np.array([self.matrix.product(term.factors) for term in self.terms])

    @cached_property
    def middle(self) -> NDArray[np.float64]:
        """The field in the world that is expected: every factor at its middle, or where readings put it, (n,)."""
        found = np.zeros(self.count)
        for term, strength in zip(self.terms, self._strengths, strict=True):
            share = self.matrix.expected_product(term.factors)
            # A shift that is not expected adds nothing, not even where the light is not known.
            found += share * (strength * term.geometry) if share != 0.0 else 0.0
        return found

    def worlds(self, receivers: ArrayLike) -> NDArray[np.float64]:
        """The field at some receivers in every row, (k, rows)."""
        chosen = self.coefficients(np.asarray(receivers, dtype=np.int64))
        return np.asarray(chosen.T @ self.multipliers)

    def largest(self, receivers: NDArray[np.int64]) -> tuple[NDArray[np.float64], NDArray[np.int64]]:
        """Largest value among receivers in every row (rows,), and which receiver has it (rows,)."""
        if not self.terms:
            return np.zeros(self.matrix.rows), np.full(self.matrix.rows, receivers[0])
        rivals = receivers[self._may_lead(receivers)]
        values = self.multipliers.T @ self.coefficients(rivals)
        top = values.argmax(axis=1)
        return values[np.arange(self.matrix.rows), top], rivals[top]

    def _may_lead(self, receivers: NDArray[np.int64]) -> NDArray[np.bool_]:
        """Which receivers could be the largest in some row: those that no leader surpasses in every row.

        A leader is the receiver that is largest in one of a few rows; each surpasses receivers whose terms,
        whatever the factors are within their draws, never add up to as much as its own.
        """
        coefficients = self.coefficients(receivers)
        most, least = self.multipliers.max(axis=1), self.multipliers.min(axis=1)
        few = self.multipliers[:, :: max(self.matrix.rows // LEADERS, 1)]
        may = np.ones(len(receivers), dtype=bool)
        for leader in np.unique([self.middle[receivers].argmax(), *(few.T @ coefficients).argmax(axis=1)]):
            ahead = coefficients[:, may] - coefficients[:, [leader]]
            may[may] = np.maximum(ahead, 0.0).T @ most + np.minimum(ahead, 0.0).T @ least >= 0.0
        return may

    def trace(self, receiver: int, row: int, place: str) -> Step:
        """Take the value at one receiver in one row apart."""
        parts = tuple(
            self._trace_term(term, receiver, row) for term in self.terms if term.geometry[receiver] != 0
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
        if term.in_air is not None:
            parts.append(step_of_given(term.in_air))
        parts += [step_of_given(medium.transmittance[term.light]) for medium in crossed(term.media)]
        shape = "line" if str(term.fixture.lamp.emitter.value) in ("tube", "strip") else "disc"
        method = METHODS["reflected" if term.reflected else shape]
        if term.given_back_by is not None:
            method = f"{method}; {term.given_back_by(receiver)}"
        geometry = float(term.geometry[receiver])
        seen = (
            "what this place gets of the lamp by reflection"
            if term.reflected
            else "what this place sees of the lamp"
        )
        if term.shift:
            seen = f"what this place gains if the lamp has {term.shift}, by one standard deviation"
            method = f"{method}; in the open, nearer or wider against as drawn"
        label = f"geometry: {seen}"
        parts.append(Step(label, geometry, "m-2", "computed", (), method, "derived"))
        for power in term.factors:
            factor = self.matrix.factors[power.column]
            multiplier = float(self.matrix.power(power)[row])
            label = factor.label
            if power.exponent != 1.0:
                label = f"{label}, to the power {power.exponent:.3g}: the lamp was read with or through it"
            parts.append(
                Step(
                    label,
                    multiplier,
                    "",
                    "given",
                    (),
                    f"{factor.source}; {_spread_words(self.matrix, power.column)}",
                    factor.basis,
                    factor.id,
                )
            )
        names = [m.label if m.crossings == 1 else f"the {m.label} of another lamp" for m in term.media]
        through = f" through {' and '.join(names)}" if names else ""
        way = f"{through}, reflected" if term.reflected else through
        way = f"{way}: {term.shift}" if term.shift else way
        value = float(np.prod([part.value for part in parts]))
        return Step(f"from {term.fixture.name}{way}", value, self.unit, "product", tuple(parts))


def _spread_words(matrix: FactorMatrix, column: int) -> str:
    """How well a factor is known: with readings, how well they leave it known."""
    factor, (low, high) = matrix.factors[column], matrix.spread(column)
    narrowed = matrix.left[column] < NARROWED
    if not factor.shift:
        now = "the readings leave a spread" if narrowed else "spread"
        return f"{now} (one sigma of the logarithm) {low:.2f} below, {high:.2f} above"
    in_cm = factor.unit == "m"
    one, rest = (f"{100 * x:.1f} cm" if in_cm else f"{x:.0%}" for x in (factor.spread_high, high))
    words = f"in standard deviations of {one}, cut at two"
    return f"{words}; the readings leave {rest} either way" if narrowed else words


# A factor that readings narrow by less is as it was. [-]
NARROWED = 0.98
FULL_LEVEL = Step("full level", 1.0, "", "given", (), "ceilings are judged undimmed", "given")


def light_of(fixture: FixtureBrief, channel: str) -> str:
    """Return the kind of light a pane sees: heat of a lamp that does not glow is long-wave."""
    return "long_wave" if fixture.lamp.dark and channel == "radiant" else channel


LABELS = {"uvi": "UV index", "lux": "brightness", "ppfd": "plant light", "radiant": "radiant heat"}


def crossed(media: tuple[Medium, ...]) -> tuple[Medium, ...]:
    """Return the media as often as the light goes through them."""
    return tuple(medium for medium in media for _ in range(medium.crossings))
