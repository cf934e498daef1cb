"""What the user's own readings under a lamp say of its output."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.factors import Factor, FactorPower, FactorTable
from sunfleck.brief.givens import Given
from sunfleck.brief.media import Medium, media_below
from sunfleck.brief.shapes import below_the_middle
from sunfleck.library.entries import Lamp
from sunfleck.physics.fitting import Fit, fit_level
from sunfleck.plan.beams import Beam
from sunfleck.plan.fixtures import Evidence
from sunfleck.plan.read import PlanSource
from sunfleck.plan.rules.names import slug

UNITS = {"uvi": "UVI", "lux": "lux"}
# Common practice, no source: a hand-held meter is 10 % off, the same way at every reading; hand, warm-up and a lamp's
# first hours make 15 to 20 % for one reading and 10 to 12 % for several: 16 % and 11 % here. All one standard deviation.
METER = 0.10
WARM_UP = 0.12
HAND = 0.02 / 1.645  # held within 2 cm, nine times of ten [m]
# Two readings that disagree by so many standard deviations, or a lamp that is so far from its class, are asked about.
ODD = 3.0
STEP = 0.001  # [m]


@dataclass(frozen=True)
class Reading:
    """One reading and what it says.

    Attributes
    ----------
    distance, value : float
        Where it was taken and what it read. [m], in the unit of its channel
    meter, through : str, tuple of Medium
        With what, and through what.
    bare : float
        Geometry of a bare lamp at that distance. [m-2]
    tells : float
        Output that it alone would give the lamp: the value over geometry and shares let through.
    own : float
        Standard deviation of the logarithm of what is its own: hand and warm-up. [-]
    where : str
        Its line in the plan.
    """

    distance: float
    value: float
    meter: str
    through: tuple[Medium, ...]
    bare: float
    tells: float
    own: float
    where: str


@dataclass(frozen=True)
class Fitted:
    """A lamp's output in one channel as its readings give it.

    Attributes
    ----------
    channel : str
        ``uvi`` or ``lux``.
    readings : tuple of Reading
        What it rests on.
    fit : Fit
        Logarithm of the output, weights, residuals.
    parts : tuple of Given
        Numbers whose product is the output.
    factors : tuple of FactorPower
        What makes the output uncertain. A mesh the lamp was read through counts inversely: had it let through more,
        the lamp would give less, and under the same mesh the two cancel.
    spread : float
        Standard deviation of the logarithm of the output. [-]
    sound_spread : float
        The same if nothing is wrong with the readings: what they are held against their class with. [-]
    of_class : float or None
        Output of a lamp of this class, that no one has read; None where the library has none.
    class_spread : (float, float)
        Standard deviation of the logarithm of that below and above its middle. [-]
    """

    channel: str
    readings: tuple[Reading, ...]
    fit: Fit
    parts: tuple[Given, ...]
    factors: tuple[FactorPower, ...]
    spread: float
    sound_spread: float
    of_class: float | None = None
    class_spread: tuple[float, float] = (0.0, 0.0)

    @property
    def output(self) -> float:
        """The fitted output."""
        return float(np.exp(self.fit.level))

    @property
    def off_class(self) -> float:
        """Logarithm of the output over that of the lamp's class; 0 where the class has none. [-]"""
        return float(self.fit.level - np.log(self.of_class)) if self.of_class is not None else 0.0

    @property
    def off_class_spread(self) -> float:
        """Standard deviation of that difference. [-]"""
        return float(np.hypot(self.sound_spread, self.class_spread[bool(self.off_class > 0)]))


def fit_readings(
    source: PlanSource,
    lamp: Lamp,
    index: int,
    channel: str,
    table: FactorTable,
    beam: Beam | None = None,
    of_class: float | None = None,
    class_spread: tuple[float, float] = (0.0, 0.0),
) -> Fitted | None:
    """Fit a lamp's output to its readings in one channel.

    Parameters
    ----------
    source : PlanSource
        The checked plan.
    lamp : Lamp
        What was read.
    index : int
        Which fixture. [-]
    channel : str
        ``uvi`` or ``lux``. [-]
    table : FactorTable
        Collects the factors.
    beam : Beam, optional
        Of the lamp, from a photometric file.
    of_class : float, optional
        Output of a lamp of this class.
    class_spread : (float, float)
        Standard deviation of the logarithm of that below and above its middle. [-]

    Returns
    -------
    fitted : Fitted or None
        None where nothing was read.

    Notes
    -----
    Logarithms of the readings are fitted by generalised least squares (:func:`sunfleck.physics.fitting.fit_level`):
    each has a hand (2 cm, more near the lamp) and a warm-up of its own; those with one meter share its error, those
    through one mesh share what nobody knows of the mesh. Readings that scatter more than their own errors explain
    are known no better than they scatter, and a lamp that is read as no lamp of its class is known no better than
    the two agree: one of them is wrong.
    """
    fixture = source.plan.fixtures[index]
    readings = tuple(
        _reading(source, lamp, index, k, channel, table, beam)
        for k, evidence in enumerate(fixture.evidence)
        if getattr(evidence, channel) is not None
    )
    if not readings:
        return None
    shared: list[tuple[int, NDArray[np.float64], float]] = []
    # Spelt another way it is the same meter.
    for name in sorted({slug(reading.meter): reading.meter for reading in readings}.values()):
        has = np.array([float(slug(reading.meter) == slug(name)) for reading in readings])
        shared.append((table.add(_meter(source, name, channel)), has, 1.0))
    for column in dict.fromkeys(
        m.factor[channel] for r in readings for m in r.through if channel in m.factor
    ):
        times = [sum(m.factor.get(channel) == column for m in reading.through) for reading in readings]
        shared.append((column, np.array(times, dtype=float), -1.0))
    loads = [load * _spread(table, column) for column, load, _ in shared]
    fit = fit_level(
        [np.log(reading.tells) for reading in readings],
        [reading.own for reading in readings],
        np.stack(loads, axis=1),
    )
    factors = [FactorPower(column, sign * float(fit.weights @ load)) for column, load, sign in shared]
    others = float(np.sqrt(sum((power.exponent * _spread(table, power.column)) ** 2 for power in factors)))
    own, wider = fit.spread * fit.scatter, fit.scatter
    sound = float(np.hypot(own, others))
    if of_class is not None:
        off = abs(fit.level - float(np.log(of_class)))
        side = class_spread[bool(fit.level > np.log(of_class))]
        if off > ODD * np.hypot(sound, side):
            own, wider = max(own, off), max(own, off) / fit.spread
    held = table.add(_hand(fixture.name, index, channel, len(readings), own, wider))
    return Fitted(
        channel,
        readings,
        fit,
        _parts(index, channel, readings, fit),
        (*factors, FactorPower(held)),
        float(np.hypot(own, others)),
        sound,
        of_class,
        class_spread,
    )


def _reading(
    source: PlanSource,
    lamp: Lamp,
    index: int,
    k: int,
    channel: str,
    table: FactorTable,
    beam: Beam | None,
) -> Reading:
    evidence: Evidence = source.plan.fixtures[index].evidence[k]
    value = float(getattr(evidence, channel))
    bare = below_the_middle(lamp, evidence.distance, beam=beam)
    media, through = media_below(source.library, table, evidence.through, evidence.distance)
    between = below_the_middle(lamp, evidence.distance, media, beam) if through else bare
    share = float(np.prod([medium.transmittance[channel].value for medium in through]))
    step = min(STEP, evidence.distance / 4)
    near, far = (below_the_middle(lamp, evidence.distance + way * step, beam=beam) for way in (-1, 1))
    per_metre = abs(np.log(far / near)) / (2 * step)
    return Reading(
        distance=evidence.distance,
        value=value,
        meter=evidence.with_,
        through=through,
        bare=bare,
        tells=value / (between * share),
        own=float(np.hypot(HAND * per_metre, WARM_UP)),
        where=source.line_of(("fixtures", index, "evidence", k)),
    )


def _meter(source: PlanSource, name: str, channel: str) -> Factor:
    stated = next((meter for meter in source.plan.meters if slug(meter.name) == slug(name)), None)
    spread = METER if stated is None else stated.accuracy
    return Factor(
        id=f"meter:{slug(name)}:{channel}",
        label=f"the meter ({name})",
        spread_low=spread,
        spread_high=spread,
        source="a hand-held meter: about 10 %, the same way at every reading"
        if stated is None
        else f"accuracy stated in the plan: {spread:.0%}, the same way at every reading",
        basis="common practice" if stated is None else "given",
    )


def _hand(name: str, index: int, channel: str, count: int, spread: float, scatter: float) -> Factor:
    plural = "s" if count > 1 else ""
    source = f"hand within 2 cm and warm-up, over {count} reading{plural}: {spread / scatter:.0%}"
    if scatter > 1.0:
        why = "because they contradict each other, or the lamp's class, by more than that"
        source = f"{source}; {scatter:.1f} times as much, {why}"
    return Factor(
        id=f"hand:{index}:{channel}",
        label=f"the hand and the warm-up when {name} was read",
        spread_low=spread,
        spread_high=spread,
        source=source,
        basis="common practice",
    )


def _spread(table: FactorTable, column: int) -> float:
    """One standard deviation of a factor, the wider side of it. [-]"""
    factor = table.factor(column)
    return max(factor.spread_low, factor.spread_high)


def _parts(index: int, channel: str, readings: tuple[Reading, ...], fit: Fit) -> tuple[Given, ...]:
    """The first reading made an output, then what each other one says against it, by its weight."""
    first = readings[0]
    key = f"plan/fixtures/{index}/evidence/{channel}"
    unit = UNITS[channel]
    parts = [
        Given(
            f"{key}/0",
            f"read {100 * first.distance:.0f} cm below its middle",
            first.value,
            unit,
            "given",
            f"the plan, read with {first.meter}",
            "measured",
            first.where,
        ),
        Given(
            f"{key}/0/geometry",
            "one over the geometry of that reading",
            first.tells / first.value,
            "m2",
            "computed",
            "closed form of a bare lamp in the open" + _through_words(first, channel),
            "derived",
            first.where,
        ),
    ]
    for k, reading in enumerate(readings[1:], start=1):
        parts.append(
            Given(
                f"{key}/{k}",
                f"what {reading.value:g} {unit} at {100 * reading.distance:.0f} cm says against that, by its weight",
                float((reading.tells / first.tells) ** fit.weights[k]),
                "",
                "computed",
                f"ratio {reading.tells / first.tells:.3f} of the outputs to the power of its weight {fit.weights[k]:.3f}"
                f"{_through_words(reading, channel)}; generalised least squares over {len(readings)} readings",
                "measured",
                reading.where,
            )
        )
    return tuple(parts)


def _through_words(reading: Reading, channel: str) -> str:
    if not reading.through:
        return ""
    shares = (f"{m.label} ({m.transmittance[channel].value:.2f} straight on)" for m in reading.through)
    return f", through {' and '.join(shares)}"
