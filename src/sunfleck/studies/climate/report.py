"""What the climate study of a plan says: verdicts, courses of days, failures, where the heat goes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief, lit_alike
from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.failures import Failure, failures_of
from sunfleck.studies.climate.lamps_in_air import lamps_in_air, light_in_seasons
from sunfleck.studies.climate.ledger import HeatBalance, balances_of, in_a_builders_words
from sunfleck.studies.climate.loose import loose_matrix
from sunfleck.studies.climate.model import ClimateModel, climate_model
from sunfleck.studies.climate.seasons import Season, daylight, seasons_of
from sunfleck.studies.climate.worlds import SeasonWorlds, season_worlds, worlds_alike
from sunfleck.studies.day import fullest
from sunfleck.studies.in_air import LightInAir
from sunfleck.studies.interreflection import Interior
from sunfleck.studies.questions import (
    basking_body,
    basking_spot,
    burns,
    cool_end,
    gradient,
    night,
    one_failure,
    warm_end,
)
from sunfleck.studies.questions.one_failure import Outcome, outcomes
from sunfleck.studies.report import Verdict
from sunfleck.studies.setting import Setting, setting_for
from sunfleck.studies.trace import Number

Floats = NDArray[np.float64]

SCHEMA = 1
IDLE = 0.01
OF_CLIMATE = (basking_spot, basking_body, warm_end, cool_end, gradient, night, burns)
"""Questions about an animal's temperatures, in the order in which they are told."""
CLIMATE_QUESTIONS = (*OF_CLIMATE, one_failure)

NOT_COMPUTED = (
    "a warm and a cool side at one height: air is in level layers, and what is told of two ends is told of heights",
    "what a patch of sun does to a body, and where it falls: for burns it falls on the hottest place it can rest on",
    "humidity: plants, soil and mist cool the air too; dry air is taken",
    "a hood over lamps outside, heat mats and cables under the ground, air that a fan stirs within the box",
    "air right over a warmed patch, which is a degree or two warmer than the air at its height",
    "of burns: walls and panes beside a lamp, holders, cables, and the mesh or ceiling in the air that rises from a bare lamp",
    "of burns: how long it touches a thing, and what its own blood carries off",
)


@dataclass(frozen=True, eq=False)
class ClimateReport:
    """The answer to ``climate``.

    Attributes
    ----------
    plan : str
        The plan's name.
    model : ClimateModel
        The plan as heat sees it.
    settings : tuple of Setting
        Its animals, with the light at their places: what is asked of light starts from the same.
    verdicts : tuple of Verdict
        Animal by animal.
    seasons : tuple of SeasonWorlds
        Days as they go, with what could be.
    balances : tuple of HeatBalance
        Where the heat goes.
    failures : dict of str to tuple of Outcome
        By animal.
    words : tuple of str
        The heat balance in a builder's words.
    cost : str
        Of a month; "" without a tariff.
    assumed : tuple of str
        What the plan does not say and was taken.
    lacks : str
        What the plan must say before anything can be judged; "" where nothing.
    in_air : LightInAir
        What tubes give in the air that they burn in: floors and ceilings of light count it.
    surveys, too_old : tuple of str
        Meter rounds that are in it, by name, and those that a newer one replaces.
    """

    plan: str
    model: ClimateModel
    settings: tuple[Setting, ...]
    verdicts: tuple[Verdict, ...]
    seasons: tuple[SeasonWorlds, ...]
    balances: tuple[HeatBalance, ...]
    failures: dict[str, tuple[Outcome, ...]]
    words: tuple[str, ...]
    cost: str
    assumed: tuple[str, ...]
    lacks: str
    in_air: LightInAir
    surveys: tuple[str, ...] = ()
    too_old: tuple[str, ...] = ()

    @property
    def exit_code(self) -> int:
        """0 when all verdicts meet, 1 when one is short or over, 3 when the worst is unknown or none is given."""
        states = {verdict.state for verdict in self.verdicts}
        if states & {"short", "over"}:
            return 1
        return 3 if "unknown" in states or not states else 0

    def numbers(self) -> dict[str, Number]:
        """Every number shown, by id."""
        shown = [number for verdict in self.verdicts for number in verdict.numbers]
        shown += [number for balance in self.balances for number in balance.numbers]
        return {number.id: number for number in shown}

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON."""
        return {
            "schema": SCHEMA,
            "plan": self.plan,
            "surveys": list(self.surveys),
            "too_old": list(self.too_old),
            "exit_code": self.exit_code,
            "lacks": self.lacks,
            "verdicts": [verdict.to_dict() for verdict in self.verdicts],
            "seasons": [season_dict(worlds) for worlds in self.seasons],
            "heat": [
                {n.id.rsplit(".", 1)[1]: n.to_dict() for n in balance.numbers} | {"season": balance.key}
                for balance in self.balances
            ],
            "failures": {
                animal: [_failure_dict(each) for each in found] for animal, found in self.failures.items()
            },
            "assumed": list(self.assumed),
            "not_computed": list(NOT_COMPUTED),
            "words": list(self.words),
            "cost": self.cost,
        }


def season_dict(worlds: SeasonWorlds) -> dict[str, Any]:
    """Layers by day and night with what could be, and how far the day is from repeating itself."""
    edges = worlds.model.column.edges
    found: dict[str, Any] = {
        "season": worlds.season.key,
        "days_run": worlds.day.days,
        "drift_K": worlds.day.drift,
    }
    for name, middle, rows in (
        ("day", worlds.middle.air_day, worlds.worlds.air_day),
        ("night", worlds.middle.air_night, worlds.worlds.air_night),
    ):
        low, high = np.percentile(rows, [5, 95], axis=0)
        found[name] = [
            {
                "from_m": float(edges[k]),
                "to_m": float(edges[k + 1]),
                "expected_K": float(middle[k]),
                "low_K": float(low[k]),
                "high_K": float(high[k]),
            }
            for k in range(len(middle))
        ]
    return found


def _failure_dict(outcome: Outcome) -> dict[str, Any]:
    reached = outcome.minutes if np.isfinite(outcome.minutes) else None
    return {
        "device": outcome.failure.device,
        "what": outcome.failure.what,
        "season": outcome.failure.worlds.season.key,
        "at_best_K": float(np.median(outcome.extreme)),
        "minutes_to_limit": reached,
        "state": outcome.state,
        "back": outcome.failure.back,
    }


def verdict_alike(brief: Brief, interior: Interior, like: ClimateReport, id_: str) -> Verdict | None:
    """One verdict of a changed plan, quickly: with the ranges of the plan as it was.

    Parameters
    ----------
    brief : Brief
        The changed plan.
    interior : Interior
        The inside of its box.
    like : ClimateReport
        Of the plan as it was.
    id_ : str
        Which verdict; that of a failure is not looked at.

    Returns
    -------
    verdict : Verdict or None
        None where the plans are not alike, or there is no such verdict.
    """
    model = climate_model(interior)
    before = like.model
    shape = [(len(m.column.volume), len(m.watts)) for m in (model, before)]
    if shape[0] != shape[1]:
        return None
    earlier = {worlds.season.key: worlds for worlds in like.seasons}
    worlds = tuple(worlds_alike(model, s, earlier[s.key]) for s in seasons_of(brief) if s.key in earlier)
    question, _, key = id_.partition(":")
    asked = next((each for each in OF_CLIMATE if question == each.ID), None)
    animal = next((animal for animal in brief.animals if animal.key == key), None)
    if asked is None or animal is None:
        return None
    if lit_alike(before.brief, brief):
        setting = next(s for s in like.settings if s.animal.key == key).relit(brief, fullest(brief))
    else:
        setting = setting_for(brief, animal, fullest(brief), interior)
    verdict: Verdict | None = asked.ask(AnimalClimate(setting, model, worlds))
    return verdict


def climate_report(
    brief: Brief, interior: Interior, seasons: tuple[Season, ...] | None = None
) -> ClimateReport:
    """Study the climate of a plan.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    interior : Interior
        The inside of its box as it reflects.
    seasons : tuple of Season, optional
        Kinds of day; by default those the plan gives a room for.

    Returns
    -------
    report : ClimateReport
        Verdicts, courses, failures, and where the heat goes.
    """
    asked = seasons_of(brief) if seasons is None else seasons
    model = climate_model(interior)
    matrix = loose_matrix(brief)
    found: list[SeasonWorlds] = []
    for season in asked:
        found.append(season_worlds(model, season, matrix, found[-1].day if found else None))
    worlds = tuple(found)
    lit = fullest(brief)
    settings = tuple(setting_for(brief, animal, lit, interior) for animal in brief.animals)
    animals = tuple(AnimalClimate(setting, model, worlds) for setting in settings)
    failures = failures_of(model, worlds)
    verdicts = [verdict for animal in animals for verdict in _verdicts(animal, failures)]
    balances = balances_of(model, worlds)
    words = [line for balance in balances for line in in_a_builders_words(balance, model)]
    words += [
        *lamps_in_air(model, worlds, brief.plan.show_units),
        *daylight(brief, worlds),
        *idle_thermostats(model, worlds),
    ]
    return ClimateReport(
        plan=brief.plan.name,
        model=model,
        settings=settings,
        verdicts=tuple(verdicts),
        seasons=worlds,
        balances=balances,
        failures={animal.setting.animal.name: outcomes(animal, failures) for animal in animals},
        words=tuple(dict.fromkeys(words)),
        cost=_cost(brief, balances),
        assumed=model.shells.assumed,
        lacks="" if asked else warm_end.LACKS,
        in_air=light_in_seasons(model, worlds),
    )


def _verdicts(animal: AnimalClimate, failures: tuple[Failure, ...]) -> list[Verdict]:
    found = [question.ask(animal) for question in OF_CLIMATE]
    found.append(one_failure.ask(animal, failures))
    return [verdict for verdict in found if verdict is not None]


def idle_thermostats(model: ClimateModel, seasons: tuple[SeasonWorlds, ...]) -> Iterator[str]:
    """Yield thermostats that never turn their lamp down, or never let it burn: the probe or the target is wrong."""
    for k, fixture in enumerate(model.brief.fixtures):
        if fixture.fixture.control is None:
            continue
        for worlds in seasons:
            lit = model.timer(worlds.season).reshape(-1, 2, len(model.watts)).mean(axis=1)[:, k] > 0
            level = worlds.day.level[lit, k]
            words = f"{worlds.season.words} the thermostat of {fixture.name}"
            if level.size and level.min() >= fixture.level.value - IDLE:
                yield f"{words} never turns it down: its probe never reads its target"
            elif level.size and level.max() <= IDLE:
                yield f"{words} never lets it burn: its target is below what its probe reads"


def _cost(brief: Brief, balances: tuple[HeatBalance, ...]) -> str:
    tariff = brief.plan.site.tariff if brief.plan.site is not None else None
    usual = [balance for balance in balances if balance.key in ("winter", "summer")] or list(balances)
    if tariff is None or not usual:
        return ""
    month = sum(balance.number("month") for balance in usual) / len(usual)
    return (
        f"{month:.0f} kWh a month, {month * tariff.per_kwh:.0f} {tariff.currency} at {tariff.per_kwh:g} a kWh"
    )
