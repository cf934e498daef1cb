"""What becomes of a design: checked in full, or at a glance with the ranges of one that was checked before."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from sunfleck.physics.thermal_days import periodic_day
from sunfleck.service.first_plan.drafting import Drawn
from sunfleck.service.resolved import Resolved
from sunfleck.studies.check import OF_ANIMALS
from sunfleck.studies.climate.animal import AnimalClimate
from sunfleck.studies.climate.lamps_in_air import light_in_seasons
from sunfleck.studies.climate.loose import loose_matrix
from sunfleck.studies.climate.model import climate_model
from sunfleck.studies.climate.report import OF_CLIMATE, ClimateReport
from sunfleck.studies.climate.seasons import seasons_of
from sunfleck.studies.climate.worlds import SeasonWorlds, means_of, worlds_alike
from sunfleck.studies.day import fullest
from sunfleck.studies.interreflection import QUICK
from sunfleck.studies.questions import lamp_clearance, uv_bracket
from sunfleck.studies.report import Verdict
from sunfleck.studies.setting import Setting, setting_for

# What a verdict that does not meet costs: what hurts at once before what hurts slowly. Our decision. [-]
COSTS = {"meets": 0.0, "unknown": 1.0, "short": 3.0, "over": 3.0}
HURTS = {
    "uv-ceiling": 2.0,
    "burns": 2.0,
    "lamp-guard": 2.0,
    "one-failure": 2.0,
    "lamp-clearance": 2.0,
    "night": 1.5,
}
# How far off what is expected counts beside the state, at most so many widths of the band. [-]
FAR_OFF, FARTHEST = 0.25, 3.0
OF_UV = ("uv-arrives", "uv-floor", "uv-bracket", "uv-ceiling", "uv-retreat")


@dataclass(frozen=True, eq=False)
class Look:
    """A drawn design and its verdicts.

    Attributes
    ----------
    drawn : Drawn
        The design.
    ready : Resolved
        What was made of it.
    verdicts : tuple of Verdict
        Of climate, and of light where it was asked for.
    animal : AnimalClimate
        The animal in the heat of its box.
    how : str
        ``whole`` or ``glance``.
    """

    drawn: Drawn
    ready: Resolved
    verdicts: tuple[Verdict, ...]
    animal: AnimalClimate
    how: Literal["whole", "glance"]

    @property
    def cost(self) -> float:
        """Lower is better. [-]"""
        return sum(cost_of(verdict) for verdict in self.verdicts)

    def verdict(self, question: str) -> Verdict | None:
        """By the first part of its id."""
        return next((v for v in self.verdicts if v.id.split(":")[0] == question), None)


def whole(drawn: Drawn, before: Look | None = None) -> Look:
    """Check a design in full."""
    ready = Resolved(drawn.plan, before.ready if before is not None else None)
    report = ready.climate
    verdicts = ready.whole.verdicts
    return Look(drawn, ready, verdicts, _animal(ready, report), "whole")


def _animal(ready: Resolved, report: ClimateReport) -> AnimalClimate:
    del ready
    return AnimalClimate(report.settings[0], report.model, report.seasons)


def glance(drawn: Drawn, before: Look | None = None, *, light: bool = True) -> Look:
    """Look at a design quickly: days as written, ranges those of one that was checked before.

    Parameters
    ----------
    drawn : Drawn
        The design.
    before : Look, optional
        Of a like design; without one only what is laid over days and what is not known of light makes the ranges.
    light : bool
        Whether verdicts of light are given too.

    Returns
    -------
    look : Look
        Failures are not followed.
    """
    ready = Resolved(drawn.plan, before.ready if before is not None else None)
    brief, interior = ready.brief, ready.interior(QUICK)
    model = climate_model(interior)
    matrix = loose_matrix(brief)
    lamps = [fixture.fixture.lamp for fixture in brief.fixtures]
    like = before.animal if before is not None else None
    alike = (
        like is not None
        and [f.fixture.lamp for f in like.model.brief.fixtures] == lamps
        and len(like.model.column.volume) == len(model.column.volume)
    )
    worlds: list[SeasonWorlds] = []
    for k, season in enumerate(seasons_of(brief)):
        if alike and like is not None:
            worlds.append(worlds_alike(model, season, like.seasons[k]))
            continue
        day = periodic_day(model.box(season), worlds[-1].day.end if worlds else None)
        middle = means_of(model, season, day)
        still = np.zeros((len(matrix.fields), len(middle.together)))
        worlds.append(SeasonWorlds(model, season, day, middle, still, still, matrix))
    setting: Setting = setting_for(brief, brief.animals[0], fullest(brief), interior)
    animal = AnimalClimate(setting, model, tuple(worlds))
    found = [verdict for asked in OF_CLIMATE if (verdict := asked.ask(animal)) is not None]
    if light:
        in_air = light_in_seasons(model, tuple(worlds))
        found += _of_light(ready, setting.in_its_air(in_air), before if _lit_alike(drawn, before) else None)
    return Look(drawn, ready, tuple(found), animal, "glance")


def rehung(look: Look, drawn: Drawn) -> Look:
    """The same design with other brackets: no light moves, only the verdict on the brackets is given anew."""
    ready = Resolved(drawn.plan, look.ready)
    setting = look.animal.setting.relit(ready.brief, fullest(ready.brief))
    setting = setting.in_its_air(light_in_seasons(look.animal.model, look.animal.seasons))
    new = uv_bracket.ask(setting)
    kept = tuple(new if new is not None and verdict.id == new.id else verdict for verdict in look.verdicts)
    return replace(look, drawn=drawn, ready=ready, verdicts=kept)


def _lit_alike(drawn: Drawn, before: Look | None) -> bool:
    """Whether UV is that of a design that was looked at before."""
    if before is None:
        return False
    one, other = drawn.design, before.drawn.design
    return (one.tubes, one.rest, one.above, one.lining) == (
        other.tubes,
        other.rest,
        other.above,
        other.lining,
    )


def _of_light(ready: Resolved, setting: Setting, before: Look | None) -> list[Verdict]:
    """Verdicts of light; of UV those of a design whose UV is the same."""
    kept = [] if before is None else [v for v in before.verdicts if v.id.split(":")[0] in OF_UV]
    questions = OF_ANIMALS if not kept else tuple(q for q in OF_ANIMALS if q.ID not in OF_UV)
    found = [question.ask(setting) for question in questions]
    return [*kept, *(verdict for verdict in (*found, lamp_clearance.ask(ready.brief)) if verdict is not None)]


def cost_of(verdict: Verdict) -> float:
    """What a verdict that does not meet costs. [-]"""
    question = verdict.id.split(":")[0]
    return COSTS[verdict.state] * HURTS.get(question, 1.0) + FAR_OFF * far_off(verdict)


def far_off(verdict: Verdict) -> float:
    """How far what is expected lies off the middle of what is wanted, over seasons, in halves of the band. [-]"""
    values = {number.id.rsplit(".", 1)[1]: number.value for number in verdict.numbers}
    low = values.get("floor")
    high = values.get("comfort_ceiling", values.get("ceiling"))
    middles: list[float | None] = [v for name, v in values.items() if name.endswith("_expected")]
    middles = middles or [values.get("expected")]
    total = 0.0
    for middle in middles:
        if middle is None or (low is None and high is None):
            continue
        if low is not None and high is not None:
            off = max(0.0, abs(middle - (low + high) / 2) / max((high - low) / 2, 1e-9) - 0.3)
        else:
            limit = low if low is not None else high
            assert limit is not None
            kelvin = verdict.number("expected").unit == "K"
            span = 3.0 if kelvin else 0.3 * max(limit, 1e-9)
            off = max(0.0, (limit - middle if low is not None else middle - limit) / span + 0.3)
        total += min(off, FARTHEST)
    return total
