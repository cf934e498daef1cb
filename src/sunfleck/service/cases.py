"""Open, check, ask for light, explain: each a plain function that any face can call."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from numpy.typing import ArrayLike

from sunfleck.document.problem import nearest
from sunfleck.errors import DomainError
from sunfleck.plan.read import PlanSource
from sunfleck.plan.read_survey import SurveySource
from sunfleck.service.meter_round import ready_with
from sunfleck.service.resolved import resolved
from sunfleck.studies.channels import Channel
from sunfleck.studies.climate.report import ClimateReport
from sunfleck.studies.climate.seasons import MONTHS, month_of
from sunfleck.studies.interreflection import FINE
from sunfleck.studies.light_at import LightAt, light_at_points
from sunfleck.studies.report import Report
from sunfleck.studies.trace import Number
from sunfleck.studies.watts import PowerBalance, power_balances


def check(plan: PlanSource, surveys: Sequence[SurveySource] = ()) -> Report:
    """Check a plan: verdicts, what every place gets, and what was not checked.

    Parameters
    ----------
    plan : PlanSource
        As :func:`sunfleck.read_plan` returns it.
    surveys : sequence of SurveySource, optional
        What meters read in the box, as :func:`sunfleck.read_surveys` returns it: every range follows.

    Returns
    -------
    report : Report
        `report.verdicts`, `report.exposures`, `report.not_checked`, `report.to_dict()`.
    """
    return ready_with(plan, surveys).whole


def check_light(plan: PlanSource, surveys: Sequence[SurveySource] = ()) -> Report:
    """Check the light of a plan only: what a change of its lamps is judged by.

    Parameters
    ----------
    plan : PlanSource
        As :func:`sunfleck.read_plan` returns it.
    surveys : sequence of SurveySource, optional
        What meters read in the box, as :func:`sunfleck.read_surveys` returns it.

    Returns
    -------
    report : Report
        As `check` gives it, without heat and air.
    """
    return ready_with(plan, surveys).report


def light_at(
    plan: PlanSource,
    points: ArrayLike,
    facing: Literal["up", "brightest"] | ArrayLike = "up",
    lit: Mapping[str, float] | None = None,
    reflections: bool = True,
    surveys: Sequence[SurveySource] = (),
) -> LightAt:
    """Light at points, as a range.

    Parameters
    ----------
    plan : PlanSource
        As :func:`sunfleck.read_plan` returns it.
    points : (n, 3) float
        Places from the inside front left bottom corner. [m]
    facing : str or (n, 3) float
        ``up``, ``brightest``, or unit normals. [-]
    lit : mapping of str to float, optional
        Level of each fixture by name; those not named are off. All on when left out. [-]
    reflections : bool
        Whether light that walls and furnishing give back is wanted too; without it, `not_included`
        says so. [-]
    surveys : sequence of SurveySource, optional
        What meters read in the box, as :func:`sunfleck.read_surveys` returns it.

    Returns
    -------
    light : LightAt
        `light.uvi`, `light.lux`, `light.ppfd`, `light.radiant`, each with `median`, `low`,
        `high` (n,) and `by_fixture[name]` (n,).

    Raises
    ------
    DomainError
        If `points` or `facing` have another shape or are not finite, or `lit` names an unknown
        fixture.
    """
    ready = ready_with(plan, surveys)
    return light_at_points(ready.brief, points, facing, lit, ready.interior(FINE) if reflections else None)


def climate(
    plan: PlanSource, month: str | None = None, surveys: Sequence[SurveySource] = ()
) -> ClimateReport:
    """Heat and air of a plan over the day: verdicts, courses, failures, and where the heat goes.

    Parameters
    ----------
    plan : PlanSource
        As :func:`sunfleck.read_plan` returns it.
    month : str, optional
        A month in English, for a day of that month only; by default winter and summer, and the coldest and the
        hottest day where the plan names them.
    surveys : sequence of SurveySource, optional
        What meters read in the box, as :func:`sunfleck.read_surveys` returns it.

    Returns
    -------
    report : ClimateReport
        `report.verdicts`, `report.seasons`, `report.failures`, `report.to_dict()`.

    Raises
    ------
    DomainError
        If there is no such month, or the plan does not say how warm its room is in winter and in summer.
    """
    ready = ready_with(plan, surveys)
    if month is None:
        return ready.climate
    wanted = month.strip().capitalize()
    if wanted not in MONTHS:
        near = nearest(wanted, MONTHS)
        msg = f"a month is one of {', '.join(MONTHS)}; got {month!r}" + (
            f"; did you mean {near}?" if near else ""
        )
        raise DomainError(msg)
    season = month_of(ready.brief, MONTHS.index(wanted))
    if season is None:
        msg = "a month lies between winter and summer, and the plan does not say how warm its room is in both"
        msg += " (site: {room: {winter: 19 degC, summer: 26 degC}})"
        raise DomainError(msg)
    return ready.climate_of((season,))


def accepted(plan: PlanSource) -> dict[str, str]:
    """By animal, who stands for its targets; "" where nobody does."""
    return {animal.name: animal.accepted for animal in resolved(plan).brief.animals}


def explain(plan: PlanSource, number_id: str, surveys: Sequence[SurveySource] = ()) -> Number:
    """Find one number of a plan's report, ready to be taken apart.

    Parameters
    ----------
    plan : PlanSource
        As :func:`sunfleck.read_plan` returns it.
    number_id : str
        An id as it stands in ``check --json``; that of a verdict means its expected value.
    surveys : sequence of SurveySource, optional
        What meters read in the box, as :func:`sunfleck.read_surveys` returns it.

    Returns
    -------
    number : Number
        `number.trace()` gives the factors whose product or sum is the number.

    Raises
    ------
    DomainError
        If the report has no such number; the nearest id is named.
    """
    ready = ready_with(plan, surveys)
    numbers = {**ready.whole.numbers(), **ready.climate.numbers()}
    # The id of a verdict stands for its expected value, if it has one.
    parts = [known for known in numbers if known.startswith(f"{number_id}.")]
    if parts and f"{number_id}.expected" not in numbers:
        msg = f"{number_id!r} rests on several numbers; explain one of {', '.join(parts)}"
        raise DomainError(msg)
    number_id = number_id if number_id in numbers else f"{number_id}.expected"
    if number_id not in numbers:
        near = nearest(number_id, numbers)
        hint = f"; did you mean {near}?" if near else "; `sunfleck check --json` lists the ids"
        msg = f"the report of this plan has no number {number_id!r}{hint}"
        raise DomainError(msg)
    return numbers[number_id]


def power(plan: PlanSource, channel: Channel = "radiant") -> tuple[PowerBalance, ...]:
    """Book where the output of every lamp ends.

    Parameters
    ----------
    plan : PlanSource
        As :func:`sunfleck.read_plan` returns it.
    channel : str
        ``radiant`` (watts), ``uvi``, ``lux`` or ``ppfd``. [-]

    Returns
    -------
    balances : tuple of PowerBalance
        One a lamp that gives such light.
    """
    return power_balances(resolved(plan).interior(FINE), channel)
