"""Readings against the plan: what they say of lamps, meshes and heat, which cannot be right, what they leave open."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.draws import standard_normals
from sunfleck.brief.factors import SEED, Factor, FactorMatrix
from sunfleck.physics.calibration import Posterior, posterior
from sunfleck.plan.rules.names import slug
from sunfleck.studies.channels import NARROWED
from sunfleck.studies.interreflection import Interior
from sunfleck.studies.meter.drift import with_drift
from sunfleck.studies.meter.light_predictions import LightPredictions
from sunfleck.studies.meter.meter_readings import OF_LIGHT, OF_WARMTH, WARM, MeterReading
from sunfleck.studies.meter.misfit import with_misfit
from sunfleck.studies.meter.things import Learned, learned_of, things_of
from sunfleck.studies.meter.warmth_predictions import WarmthPredictions

Floats = NDArray[np.float64]

# What readings alone do not know (meters, places of thermometers) is drawn in a block of its own.
SEED_OF_METERS = SEED + 2
# A reading so far from what all the others say, and hardly followed, is asked about. [-]
ODD, HARDLY_FOLLOWED = 3.0, 0.5
NINE_OF_TEN = 1.645
# How much of one thing readings give to the other before they are said not to tell them apart.
TIED, WORTH_SAYING = -0.5, 0.06
# Light of a lamp on a thermostat below this share of a reading does not matter to it. [-]
DRIVEN = 0.05


@dataclass(frozen=True, eq=False)
class Compared:
    """One reading beside what was expected and what is now.

    Attributes
    ----------
    reading : MeterReading
        As read.
    before, low, high : float
        Expected before any reading, and between what nine of ten such enclosures would be, the meter's error left out.
    after : float
        Expected now. In the unit of the reading, as `before`.
    said, said_low, said_high : float
        What all the other readings say of it, and between what they would have it read nine times of ten.
    error : float
        One standard deviation of its own error, hand and all: of the logarithm of light, or in kelvin.
    apart : float
        How far from that, in standard deviations; NaN where it is not used. [-]
    odd : bool
        Whether it cannot be right beside the others.
    left_out : str
        Why it is not used; "" where it is.
    """

    reading: MeterReading
    before: float
    low: float
    high: float
    after: float
    said: float
    said_low: float
    said_high: float
    error: float
    apart: float
    odd: bool
    left_out: str


@dataclass(frozen=True, eq=False)
class Calibration:
    """What some readings say of a plan.

    Attributes
    ----------
    before, brief : Brief
        The plan before, and as the readings leave it: its worlds are theirs.
    compared : tuple of Compared
        Every reading, in its order.
    learned : tuple of Learned
        What is known better of lamps, sheets and heat, or is not as written.
    tied : tuple of str
        What these readings cannot tell apart, in words.
    beyond : tuple of (str, str)
        What would be farther from the plan than such things are, by what it is about: ``uv`` or ``heat``.
    posterior : Posterior
        Of all factors: light's, then heat's, then the meters'.
    """

    before: Brief
    brief: Brief
    compared: tuple[Compared, ...]
    learned: tuple[Learned, ...]
    tied: tuple[str, ...]
    beyond: tuple[tuple[str, str], ...]
    posterior: Posterior

    @property
    def odd(self) -> tuple[Compared, ...]:
        """Readings that cannot be right beside the others."""
        return tuple(each for each in self.compared if each.odd)


def calibrate(
    brief: Brief,
    interior: Interior,
    readings: Sequence[MeterReading],
    warmth: WarmthPredictions | None = None,
    light: LightPredictions | None = None,
) -> Calibration:
    """Take readings into a plan.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    interior : Interior
        Its inside as it reflects.
    readings : sequence of MeterReading
        Of light and of temperatures.
    warmth : WarmthPredictions, optional
        What thermometers would read; without it temperatures are not used.
    light : LightPredictions, optional
        Of the same places, made before, of the plan with drift: only what was read is new.

    Returns
    -------
    calibration : Calibration
        With the brief whose factor matrices the readings have moved: light, heat and verdicts follow.
    """
    fit = _Fit(with_drift(brief, readings), interior, readings, warmth, light)
    found = posterior(fit.predict, fit.values, fit.errors, fit.count)
    after = with_misfit(fit.brief_after(found), fit.of_channels(found))
    compared = tuple(fit.compared(found))
    learned = [learned_of(thing, fit.brief, after) for thing in things_of(fit.brief)]
    told = tuple(each for each in learned if each.narrowed)
    return Calibration(
        brief,
        after,
        compared,
        told,
        tuple(_tied(told, after)),
        (*_beyond(learned, fit.brief), *fit.all_off(found)),
        found,
    )


class _Fit:
    """The readings that can be used, and what would be read of them in any world."""

    def __init__(
        self,
        brief: Brief,
        interior: Interior,
        readings: Sequence[MeterReading],
        warmth: WarmthPredictions | None,
        light: LightPredictions | None,
    ) -> None:
        self.brief, self.readings, self.warmth = brief, tuple(readings), warmth
        of_light = [k for k, r in enumerate(readings) if r.of_light]
        lit = [readings[k] for k in of_light]
        self.light = LightPredictions(brief, interior, lit) if light is None else light.of(lit)
        self.left_out = dict(self._left_out(of_light))
        self.in_light = {k: column for column, k in enumerate(of_light)}
        self.used = [k for k in range(len(readings)) if k not in self.left_out]
        self.of_light, self.of_heat = len(brief.matrix.factors), len(brief.heat.factors)
        self.meters = self._meters()
        self.count = self.of_light + self.of_heat + len(self.meters)
        self.values = np.array([readings[k].measured for k in self.used])
        self.errors = np.array([self._error(k) for k in self.used])

    def _left_out(self, of_light: list[int]) -> Iterator[tuple[int, str]]:
        for column, k in enumerate(of_light):
            if np.isnan(self.light.expected[column]):
                yield k, "its place is inside something solid"
            elif not self.light.readable[column]:
                yield (
                    k,
                    "no light of this kind gets there by the plan: is it the right place, are these lamps on?",
                )
            else:
                why = self._unsteady(column, self.readings[k])
                if why:
                    yield k, why
        for k, reading in enumerate(self.readings):
            if reading.quantity == "humidity":
                yield k, "kept; humidity is not yet predicted"
            elif reading.quantity in OF_WARMTH:
                why = (
                    "no room temperature in the plan" if self.warmth is None else self.warmth.why_not(reading)
                )
                if why:
                    yield k, why

    def _unsteady(self, column: int, reading: MeterReading) -> str:
        """Say why nobody knows how much its lamps gave; "" where they do."""
        if reading.burned < WARM:
            return "lamps had not been on for half an hour, or the survey does not say so (warm_up): they gave less"
        stated = dict(reading.levels)
        total = float(self.light.expected[column])
        for fixture in self.brief.fixtures:
            part = float(self.light.of_lamps[fixture.index, column])
            unknown = fixture.fixture.control is not None and fixture.name not in stated
            if unknown and part > DRIVEN * total:
                return (
                    f"{fixture.name} hangs on a thermostat, and nobody knows how far it was turned down: turn it to full "
                    f"and write `levels: {{{fixture.name}: 100 %}}` into the survey"
                )
        return ""

    def _error(self, k: int) -> float:
        reading = self.readings[k]
        hand = self.light.hand[self.in_light[k]] if reading.of_light else 0.0
        return float(np.hypot(reading.error, hand))

    def _meters(self) -> dict[str, tuple[int, float]]:
        """Columns of what meters are off by beyond what the plan's own readings say of them, with their spread."""
        known = {factor.id: factor for factor in self.brief.matrix.factors}
        widest: dict[str, float] = {}
        for k in self.used:
            id_, stated = _meter_id(self.readings[k]), self.readings[k].shared
            if id_ in known:
                # The plan may think better of it than the survey does: the wider of the two counts.
                stated = float(np.sqrt(max(0.0, stated**2 - known[id_].spread_high ** 2)))
            widest[id_] = max(widest.get(id_, 0.0), stated)
        first = self.of_light + self.of_heat
        unknown = {id_: spread for id_, spread in widest.items() if spread > 0.0}
        return {id_: (first + k, spread) for k, (id_, spread) in enumerate(unknown.items())}

    def predict(self, worlds: Floats) -> Floats:
        """What the used readings would be, meters and all, in worlds (m, factors): (m, n)."""
        truth = self.truth(worlds)
        return np.asarray(truth + self._of_meters(worlds))

    def truth(self, worlds: Floats) -> Floats:
        """The same with perfect meters."""
        found = np.zeros((len(worlds), len(self.used)))
        lit, of_light, warm = self._columns
        if len(lit):
            light = self.light.logarithms(worlds[:, : self.of_light])
            found[:, lit] = light[:, of_light]
        if len(warm) and self.warmth is not None:
            heat = worlds[:, self.of_light : self.of_light + self.of_heat]
            readings = [self.readings[self.used[column]] for column in warm]
            found[:, warm] = self.warmth.kelvin(readings, worlds[:, : self.of_light], heat)
        return found

    @cached_property
    def _columns(self) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
        """Which of the used readings are of light, their places among all of light, and which are of warmth."""
        lit = [column for column, k in enumerate(self.used) if k in self.in_light]
        warm = [column for column, k in enumerate(self.used) if k not in self.in_light]
        of_light = [self.in_light[self.used[column]] for column in lit]
        first, second, third = (np.array(columns, dtype=np.int64) for columns in (lit, of_light, warm))
        return first, second, third

    def _of_meters(self, worlds: Floats) -> Floats:
        """What each reading's meter shows too much, as a logarithm or in kelvin, (m, n).

        The plan's factor of a meter multiplies what a lamp gives: where it is high the meter shows too little.
        """
        found = np.zeros((len(worlds), len(self.used)))
        for places, low, high, has in self._meter_columns:
            z = worlds[:, places]
            found[:, has] -= np.where(z < 0, low, high) * z
        return found

    @cached_property
    def _meter_columns(self) -> tuple[tuple[NDArray[np.int64], Floats, Floats, NDArray[np.int64]], ...]:
        """Of the plan's meters, then of the round's: column, spread below and above, and which readings they touch."""
        known = {factor.id: k for k, factor in enumerate(self.brief.matrix.factors)}
        of_plan: list[tuple[int, float, float, int]] = []
        of_round: list[tuple[int, float, float, int]] = []
        for column, k in enumerate(self.used):
            id_ = _meter_id(self.readings[k])
            if id_ in known:
                factor: Factor = self.brief.matrix.factors[known[id_]]
                of_plan.append((known[id_], factor.spread_low, factor.spread_high, column))
            if id_ in self.meters:
                place, spread = self.meters[id_]
                of_round.append((place, spread, spread, column))
        tables = [np.array(rows).reshape(-1, 4) for rows in (of_plan, of_round)]
        return tuple(
            (t[:, 0].astype(np.int64), t[:, 1], t[:, 2], t[:, 3].astype(np.int64)) for t in tables if len(t)
        )

    def of_channels(self, found: Posterior) -> dict[str, tuple[Floats, Floats, NDArray[np.bool_]]]:
        """How far readings of each kind of light are from what is now expected, their errors, and which are odd."""
        kinds = np.array([self.readings[k].quantity for k in self.used])
        apart, odd = found.values - found.predicted, _odd(found)
        return {
            kind: (apart[kinds == kind], found.spreads[kinds == kind], odd[kinds == kind])
            for kind in OF_LIGHT
            if bool((kinds == kind).any())
        }

    def all_off(self, found: Posterior) -> Iterator[tuple[str, str]]:
        """Yield kinds of readings that are, all together, farther from what was expected than they could be."""
        whole = found.slopes @ found.slopes.T + np.diag(found.spreads**2)
        for about, words, quantities in (
            ("uv", "readings of UV", ("uvi",)),
            ("heat", "thermometers", OF_WARMTH),
        ):
            has = np.array([self.readings[k].quantity in quantities for k in self.used], dtype=bool) & ~_odd(
                found
            )
            if not has.any():
                continue
            mean = float((found.values - found.before)[has].mean())
            spread = float(np.sqrt(whole[np.ix_(has, has)].mean()))
            if abs(mean) > ODD * spread:
                told = f"{np.exp(mean):.1f} times what" if about == "uv" else f"{mean:+.0f} K from what"
                yield (
                    about,
                    f"all {words} together are {told} was expected, which lamps like these hardly give",
                )

    def brief_after(self, found: Posterior) -> Brief:
        """The brief whose worlds are those that the readings leave."""
        rows = self.brief.matrix.rows
        drawn = [self.brief.matrix.normals, self.brief.heat.normals]
        if self.meters:
            drawn.append(standard_normals(rows, len(self.meters), SEED_OF_METERS, shuffled=True))
        worlds = found.worlds(np.concatenate(drawn, axis=1))
        learned = np.sqrt(np.diag(found.covariance))
        end = self.of_light + self.of_heat
        light, heat = (slice(0, self.of_light), slice(self.of_light, end))
        names = ", ".join(dict.fromkeys(reading.survey for reading in self.readings))
        return replace(
            self.brief,
            matrix=_moved(self.brief.matrix, worlds[:, light], found.mode[light], learned[light], names),
            heat=_moved(self.brief.heat, worlds[:, heat], found.mode[heat], learned[heat], names),
        )

    def compared(self, found: Posterior) -> Iterator[Compared]:
        """Every reading beside what was expected and what is now, perfect meters taken."""
        meters = np.zeros((self.brief.matrix.rows, len(self.meters)))
        rows = self.truth(
            np.concatenate([self.brief.matrix.normals, self.brief.heat.normals, meters], axis=1)
        )
        before, now = (self.truth(world[None, :])[0] for world in (np.zeros(self.count), found.mode))
        for k, reading in enumerate(self.readings):
            if k in self.left_out:
                nan = float("nan")
                yield Compared(reading, *(nan,) * 9, False, self.left_out[k])
                continue
            column = self.used.index(k)
            shown: Callable[[float], float] = np.exp if reading.of_light else float
            low, high = np.percentile(rows[:, column], (5.0, 95.0))
            apart, odd = float(found.apart[column]), bool(_odd(found)[column])
            said, width = (float(x[column]) for x in found.without)
            expected, least, most, after, others, at_least, at_most = (
                float(shown(x))
                for x in (
                    before[column],
                    low,
                    high,
                    now[column],
                    said,
                    said - NINE_OF_TEN * width,
                    said + NINE_OF_TEN * width,
                )
            )
            error = float(self.errors[column])
            yield Compared(
                reading, expected, least, most, after, others, at_least, at_most, error, apart, odd, ""
            )


def _odd(found: Posterior) -> NDArray[np.bool_]:
    """Which readings cannot be right beside the others, (n,)."""
    return np.asarray((np.abs(found.apart) > ODD) & (found.weights < HARDLY_FOLLOWED))


def _meter_id(reading: MeterReading) -> str:
    return f"meter:{slug(reading.meter)}:{reading.quantity}"


def _moved(
    matrix: FactorMatrix, normals: Floats, centre: Floats, learned: Floats, surveys: str
) -> FactorMatrix:
    """A matrix as readings leave it; what they moved says so."""
    factors = tuple(
        replace(factor, source=f"{factor.source}; moved by the meter round {surveys}")
        if learned[k] < NARROWED
        else factor
        for k, factor in enumerate(matrix.factors)
    )
    return FactorMatrix(factors, normals, matrix.seed, centre, learned)


def _beyond(learned: Sequence[Learned], before: Brief) -> Iterator[tuple[str, str]]:
    """Yield lamps and heat that would have to be what such things never are."""
    for each in learned:
        of_uv = each.thing.id.endswith(":uvi") or each.thing.kind == "sheet"
        if each.shift or not (of_uv or each.thing.of_heat):
            continue
        spread = float(each.thing.logarithms(before).std())
        off = abs(float(np.log(each.expected))) / max(spread, 1e-9)
        if off > ODD:
            words = f"{each.thing.words} would be {each.expected:.2f} of what the plan has, which such things hardly are"
            yield ("heat" if each.thing.of_heat else "uv"), words


def _tied(learned: Sequence[Learned], after: Brief) -> Iterator[str]:
    """Yield what readings know together and not apart."""
    for i, one in enumerate(learned):
        for other in learned[i + 1 :]:
            if {one.thing.kind, other.thing.kind} - {"lamp", "sheet"} or one.shift or other.shift:
                continue
            if one.thing.fixture and one.thing.fixture == other.thing.fixture:
                continue  # two kinds of light of one lamp
            rows = [each.thing.logarithms(after) for each in (one, other)]
            apart, together = [float(row.std()) for row in rows], float((rows[0] + rows[1]).std())
            tied = float(np.corrcoef(rows[0], rows[1])[0, 1])
            if tied > TIED or min(apart) < WORTH_SAYING:
                continue
            cure = (
                "one reading with the mesh lifted tells them apart"
                if "sheet" in (one.thing.kind, other.thing.kind)
                else f"one reading with only {one.thing.fixture} on tells them apart"
            )
            yield (
                f"{one.thing.words} and {other.thing.words} are known together, to {_share(together)}, and not apart, "
                f"to {_share(apart[0])} and {_share(apart[1])}: {cure}"
            )


def _share(spread: float) -> str:
    """Half of the range that holds nine of ten, as a share."""
    return f"{np.expm1(1.645 * spread):.0%}"
