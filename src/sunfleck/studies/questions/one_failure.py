"""Does any single failure leave the animal no place to live in?"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import Given
from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.answers import degrees
from sunfleck.studies.climate.failures import Failure
from sunfleck.studies.report import Verdict
from sunfleck.studies.rule import State, chances, row_at
from sunfleck.studies.trace import Number, Step, number_of_given, number_of_step

ID = "one-failure"
SUBJECT = "failures"
LACKS = "the plan does not say how warm its room is, has no lamp, or nobody knows what this animal survives"
METHOD = "a day followed minute by minute from the failure on, begun as the day that repeats itself"
# Bodies are to stay so far inside what a test of survival ends at (reference: rule from memory). [K]
MARGIN = 5.0
# Less than this and nobody feels that something failed. [K]
FELT = 0.05


@dataclass(frozen=True, eq=False)
class Outcome:
    """What a failure does to the places where an animal can rest.

    Attributes
    ----------
    failure : Failure
        Which.
    extreme : (rows,) float
        Warmest that the coolest place gets, or coldest that the warmest does. [K]
    minutes : float
        Until that passes the limit, as written; infinite where it never does. [min]
    state : str
        ``over`` or ``short`` where it does.
    """

    failure: Failure
    extreme: NDArray[np.float64]
    minutes: float
    state: State


def limits_of(animal: AnimalClimate) -> tuple[Given | None, Given | None]:
    """Coldest and hottest air that every place may have for hours. [K]"""
    cold = _inside(
        animal.limit("critical_low", "body temperature at which it fails in the cold"), MARGIN, "coldest"
    )
    hot = _inside(
        animal.limit("critical_high", "body temperature at which it fails in heat"), -MARGIN, "hottest"
    )
    alarm = animal.limit("alarm_above", "air that is an emergency for hours")
    if alarm is not None and (hot is None or alarm.value < hot.value):
        hot = alarm
    return cold, hot


def _inside(given: Given | None, by: float, word: str) -> Given | None:
    if given is None:
        return None
    source = f"{given.source}; {abs(by):.0f} K inside it (rule of thumb, from memory)"
    return Given(
        f"{given.id}/margin", f"{word} that every place may be", given.value + by, "K", "computed", source,
        "from memory", given.where,
    )  # fmt: skip


def outcomes(animal: AnimalClimate, failures: tuple[Failure, ...]) -> tuple[Outcome, ...]:
    """Every failure against the limits of an animal."""
    cold, hot = limits_of(animal)
    return tuple(_outcome(animal, failure, hot if failure.heats else cold) for failure in failures)


def _outcome(animal: AnimalClimate, failure: Failure, limit: Given | None) -> Outcome:
    at = animal.resting_air(failure.air)
    worlds = failure.worlds
    if failure.heats:
        course = at.min(axis=-1)
        written = float(course.max())
        rows = animal.resting_air(worlds.worlds.air_most).min(axis=-1)
        middle = float(animal.resting_air(worlds.middle.air_most).min(axis=-1))
    else:
        course = at.max(axis=-1)
        written = float(course.min())
        rows = animal.resting_air(worlds.worlds.air_least).max(axis=-1)
        middle = float(animal.resting_air(worlds.middle.air_least).max(axis=-1))
    # Worlds differ by as much as they do without the failure.
    extreme = np.asarray(written + rows - middle)
    if limit is None:
        return Outcome(failure, extreme, float("inf"), "unknown")
    passed = course > limit.value if failure.heats else course < limit.value
    # Counted from when the failure is felt: a thermostat that fails at night is felt when its lamp comes on.
    felt = np.abs(failure.air - failure.unfailed).max(axis=-1) > FELT
    since = int(np.argmax(felt)) if felt.any() else 0
    passed[:since] = False
    minutes = float(np.argmax(passed) - since) if passed.any() else float("inf")
    if failure.heats:
        state = chances(extreme, safety_ceiling=limit.value).state()
    else:
        beyond = chances(-extreme, safety_ceiling=-limit.value).state()
        state = "short" if beyond == "over" else beyond
    return Outcome(failure, extreme, minutes, state)


def ask(animal: AnimalClimate, failures: tuple[Failure, ...]) -> Verdict | None:
    """Judge every failure of one device by the places it leaves."""
    cold, hot = limits_of(animal)
    if not failures or (cold is None and hot is None):
        return None
    id_ = f"{ID}:{animal.setting.animal.key}"
    found = outcomes(animal, failures)
    bad = [each for each in found if each.state in ("over", "short")]
    open_ = [each for each in found if each.state == "unknown"]
    state: State = bad[0].state if bad else "unknown" if open_ else "meets"
    numbers: list[Number] = [
        number_of_given(f"{id_}.{name}", given)
        for name, given in (("coldest", cold), ("hottest", hot))
        if given is not None
    ]
    system = animal.setting.system
    for k, each in enumerate(found, start=1):
        value = float(each.extreme[row_at(each.extreme, 0.5)])
        label = f"{each.failure.device}, {each.failure.what}: where it can rest, at best"
        numbers.append(
            number_of_step(f"{id_}.case_{k}", Step(label, value, "K", "computed", (), METHOD, "derived"))
        )
    sentence = "no single failure takes away every place it can live in"
    if bad:
        told = "; ".join(
            f"{each.failure.device} {each.failure.what} {each.failure.worlds.season.words}: "
            f"{degrees(float(np.median(each.extreme)), system)} at best{_minutes(each)}"
            for each in bad
        )
        sentence = f"no place is left to live in with {told}"
        if _bad_anyway(animal, hot):
            sentence += "; of heat it is so on that day even with nothing failed"
    elif open_:
        sentence = _not_known(open_, cold, hot)
    advice = ""
    if bad:
        advice = (
            "a second, independent cut-out 3-5 K above the target top, on a probe that cannot fall; fewer watts; a way "
            "out of the heat; for the cold someone who is called"
        )
    elif open_:
        advice = "write what its veterinarian says it bears beside the plan, and test probe and cut-out before it moves in"
    return Verdict(
        id_, "one failure at a time", animal.setting.animal.name, state, sentence, "", tuple(numbers), advice
    )


def _bad_anyway(animal: AnimalClimate, hot: Given | None) -> bool:
    """Whether the warmest day leaves no place even with nothing failed."""
    warmest = max(animal.seasons, key=lambda worlds: worlds.season.warmth)
    return hot is not None and float(animal.resting_air(warmest.middle.air_most).min(axis=-1)) > hot.value


def _not_known(open_: list[Outcome], cold: Given | None, hot: Given | None) -> str:
    """Why it is not known: nobody knows what the animal survives, or the range passes a limit that is known."""
    lacks = {
        ("heat" if each.failure.heats else "cold")
        for each in open_
        if (hot if each.failure.heats else cold) is None
    }
    near = [each for each in open_ if (hot if each.failure.heats else cold) is not None]
    told = [f"how it survives {' and '.join(sorted(lacks))} is not known"] if lacks else []
    told += [f"{each.failure.device} {each.failure.what} may leave no place to live in" for each in near]
    return "; ".join(told)


def _minutes(outcome: Outcome) -> str:
    return f", {outcome.minutes:.0f} min after it" if np.isfinite(outcome.minutes) else ""
