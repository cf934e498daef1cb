"""A keeper's word for the targets: printed with name and day, with values of one's own, or its lack is."""

import json

import pytest

from oracles.plans import tall_guarded
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
