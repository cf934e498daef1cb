"""A keeper's word for the targets: printed with name and day, with values of one's own, or its lack is."""

import json

import pytest

from oracles.plans import tall_guarded
from sunfleck.document.problem import PlanError
from sunfleck.outputs.words import report_text
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import check_light, explain

SPECIES = "species: Basiliscus plumifrons"
WORD = "accepted: {by: A. Keeper, date: 2026-11-25, uv_floor: 1.4}, "


@pytest.fixture(scope="module")
def plans():
    text = tall_guarded()
    return read_plan_text(text), read_plan_text(text.replace(SPECIES, WORD + SPECIES))


def test_targets_nobody_accepted_are_printed_as_such(plans):
    """Issue: an unaccepted profile is printed as such, on the page, among what was not checked, and in JSON."""
    report = check_light(plans[0])
    assert "NOT ACCEPTED" in report_text(report, "metric")
    assert any("no keeper has accepted" in line for line in report.open_points)
    assert json.loads(json.dumps(report.to_dict()))["accepted"] == {"the basilisk": ""}


def test_accepted_targets_carry_name_and_day(plans):
    """The keeper's own value is judged; the rest stays the library's; `explain` says whose it is and where."""
    report = check_light(plans[1])
    text = report_text(report, "metric")
    assert "NOT ACCEPTED" not in text
    assert "accepted by A. Keeper on 2026-11-25" in text
    assert not any("no keeper has accepted" in line for line in report.open_points)
    number = explain(plans[1], "uv-floor:the-basilisk.floor")
    assert number.value == 1.4
    assert "A. Keeper" in number.trace().source
    assert "plan.yaml:" in number.trace().where
    # 1.1 to 1.6 was enough for the library's floor and may not be for the keeper's.
    states = [
        next(v.state for v in check_light(p).verdicts if v.id == "uv-floor:the-basilisk") for p in plans
    ]
    assert states == ["meets", "short"]
    before, after = (check_light(p).numbers()["uv-ceiling:the-basilisk.ceiling"].value for p in plans)
    assert before == after


BANDS = "accepted: {by: A. Keeper, date: 2026-11-25, night: [%s], cool_end: [18 degC, 30 degC]}, "


def test_a_keeper_stands_for_temperatures_of_their_own():
    """Design 4: a user may override any library value; the verdict is judged by it, `explain` says whose it is."""
    text = tall_guarded()
    own = read_plan_text(text.replace(SPECIES, BANDS % "15 degC, 26 degC" + SPECIES))
    number = explain(own, "night:the-basilisk.floor")
    assert number.value == pytest.approx(288.15)
    assert "A. Keeper" in number.trace().source
    assert "plan.yaml:" in number.trace().where
    library = explain(read_plan_text(text), "night:the-basilisk.floor")
    assert library.value != number.value
    # What the keeper left out is the library's.
    assert (
        explain(own, "warm-end:the-basilisk.floor").value
        == explain(read_plan_text(text), "warm-end:the-basilisk.floor").value
    )


@pytest.mark.parametrize(
    ("band", "needed"),
    [
        ("26 degC, 15 degC", "the least and then the most"),
        ("20 degC, 21 degC", "3 K apart"),
        ("20 degC, 60 degC", "emergency"),
    ],
)
def test_own_temperatures_that_cannot_be_wanted_are_told(band, needed):
    """Turned round, too narrow to be judged, or what the animal does not live through."""
    with pytest.raises(PlanError) as refused:
        read_plan_text(tall_guarded().replace(SPECIES, BANDS % band + SPECIES))
    (problem,) = refused.value.problems
    assert problem.rule == "animal.targets-cross"
    assert needed in problem.needed
