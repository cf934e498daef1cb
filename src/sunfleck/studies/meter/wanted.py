"""What readings are to narrow: floors, ceilings and the light where animals rest, each with how much it counts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.studies.channels import LABELS, Channel
from sunfleck.studies.questions import uv_ceiling, uv_floor
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import QUANTILES, State, row_at
from sunfleck.studies.setting import Setting

Floats = NDArray[np.float64]

# Less light than this no meter of its kind tells from none, and its logarithm means nothing. Common practice, no source.
FAINT: dict[Channel, float] = {"uvi": 0.1, "lux": 20.0, "ppfd": 1.0, "radiant": 2.0}
# Where nine of ten worlds differ by more than so many times, leaves decide between sun and shade: no reading there holds
# for the next week, and its logarithm is not as a normal is. Common practice, no source. [-]
WIDEST = 10.0
# How much a verdict counts by its state, and how much more where a limit lies within its range: a reading may turn it.
COUNTS: dict[State, float] = {"meets": 1.0, "short": 2.0, "over": 2.0, "unknown": 3.0}
NEAR_A_LIMIT = 2.0
# How much the light of all places where animals rest counts together, by kind: brightness and heat second.
RESTING: dict[Channel, float] = {"uvi": 1.0, "lux": 0.5, "ppfd": 0.25, "radiant": 0.25}
# Places on one strip whose light is wanted lie at least so far apart. [m]
SPACED = 0.16
HOW_WEIGHED = (
    "a verdict counts 1 where it meets, 2 where it is too low or too high, 3 where it is not known, and twice that where "
    "a limit lies within its range; the light of all resting places together counts 1 in UV, 0.5 in brightness, 0.25 "
    "each in plant light and radiant heat"
)


@dataclass(frozen=True, eq=False)
class Wanted:
    """A quantity that readings are to narrow.

    Attributes
    ----------
    id : str
        That of a verdict, or of the light on a strip.
    words : str
        In a builder's words.
    weight : float
        How much its variance counts. [-]
    logs : (rows,) float
        Its logarithm in every row.
    judged : bool
        Whether a verdict is judged by it.
    """

    id: str
    words: str
    weight: float
    logs: Floats
    judged: bool


def wanted_of(settings: tuple[Setting, ...]) -> tuple[Wanted, ...]:
    """Return everything readings are to narrow, verdicts first.

    Parameters
    ----------
    settings : tuple of Setting
        One an animal.

    Returns
    -------
    wanted : tuple of Wanted
        Floors and ceilings of UV, then the light where animals rest.
    """
    found = [each for setting in settings for each in (*_floor(setting), *_ceiling(setting))]
    return (*found, *_resting(settings))


def _floor(setting: Setting) -> Iterator[Wanted]:
    place, animal = setting.basking_place(), setting.animal
    verdict = uv_floor.ask(setting)
    if place is None or verdict is None or animal.uv_floor is None:
        return
    least = setting.channel("uvi", "normal").worlds(setting.receivers(place)).min(axis=0)
    yield from _judged(verdict, f"UV floor of {animal.name}", least, [animal.uv_floor.value])


def _ceiling(setting: Setting) -> Iterator[Wanted]:
    animal = setting.animal
    verdict = uv_ceiling.ask(setting)
    if verdict is None:
        return
    worst, _ = setting.channel("uvi", "brightest", all_lamps=True).largest(setting.everywhere)
    limits = [given.value for given in (animal.uv_comfort_ceiling, animal.uv_ceiling) if given is not None]
    yield from _judged(verdict, f"UV ceiling of {animal.name}", worst, limits)


def _judged(verdict: Verdict, words: str, values: Floats, limits: list[float]) -> Iterator[Wanted]:
    # Where the weakest point gets none there is no range to narrow.
    if float(np.median(values)) < FAINT["uvi"]:
        return
    low, high = (float(values[row_at(values, QUANTILES[name])]) for name in ("low", "high"))
    near = any(low <= limit <= high for limit in limits)
    weight = COUNTS[verdict.state] * (NEAR_A_LIMIT if near else 1.0)
    yield Wanted(verdict.id, words, weight, logs_of("uvi", values), judged=True)


def _resting(settings: tuple[Setting, ...]) -> Iterator[Wanted]:
    places = [
        (setting, index, _spaced(strip.points, np.flatnonzero(strip.valid)))
        for setting in settings
        for index, strip in enumerate(setting.strips)
        if strip.kind != "hide"
    ]
    for channel, together in RESTING.items():
        found: list[tuple[str, str, Floats]] = []
        for setting, index, kept in places:
            strip = setting.strips[index]
            name = "the ground" if strip.kind == "ground" else strip.name
            told = (f"rest:{channel}:{strip.name}", f"{LABELS[channel]} on {name}")
            for values in setting.channel(channel, "normal").worlds(kept + setting.offsets[index]):
                logs = logs_of(channel, values)
                if float(np.median(values)) >= FAINT[channel] and steady(logs):
                    found.append((*told, logs))
        for id_, words, logs in found:
            yield Wanted(id_, words, together / len(found), logs, judged=False)


def _spaced(points: Floats, candidates: NDArray[np.int64]) -> NDArray[np.int64]:
    kept: list[int] = []
    for k in candidates:
        if not kept or np.linalg.norm(points[kept] - points[k], axis=1).min() >= SPACED:
            kept.append(int(k))
    return np.array(kept, dtype=np.int64)


def logs_of(channel: Channel, values: Floats) -> Floats:
    """Logarithms; what is darker than any meter tells counts as that dark."""
    return np.asarray(np.log(np.maximum(np.nan_to_num(values), FAINT[channel] * 0.1)))


def steady(logs: Floats) -> NDArray[np.bool_]:
    """Whether light, of its logarithm (..., rows), is known to less than `WIDEST` times, (...)."""
    low, high = np.quantile(logs, [0.05, 0.95], axis=-1)
    return np.asarray(high - low < np.log(WIDEST))


def times(variance: float) -> float:
    """How many times the low end of a 90 % range its high end is, of a logarithm's variance. [-]"""
    return float(np.exp(2 * 1.645 * np.sqrt(max(variance, 0.0))))
