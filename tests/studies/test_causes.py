"""What makes a range as wide as it is, and what is said to narrow it."""

import numpy as np
import pytest

from sunfleck.brief.factors import Factor, FactorPower, FactorTable
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import check_light
from sunfleck.service.starting import starter_text
from sunfleck.studies.causes import causes_of, what_to_read


def matrix(**spreads):
    table = FactorTable()
    for name, spread in spreads.items():
        table.add(Factor(f"{name}:x", name, spread, spread, "a test", "given"))
    return table.matrix()


def test_shares_of_a_product_are_its_variances():
    """Closed form: of a product of log-normal factors each has its variance over the sum, to 2 %."""
    rows = matrix(**{"class": 0.3, "meter": 0.2, "hand": 0.1})
    value = 3.0 * rows.product((FactorPower(0), FactorPower(1), FactorPower(2, -1.0)))
    found = {cause.factor.group: cause.share for cause in causes_of(value, rows)}
    whole = 0.3**2 + 0.2**2 + 0.1**2
    for group, spread in (("class", 0.3), ("meter", 0.2)):
        assert found[group] == pytest.approx(spread**2 / whole, abs=0.02)
    assert found.get("hand", 0.07) == pytest.approx(0.1**2 / whole, abs=0.02)


def test_what_does_not_vary_has_no_cause():
    """Constant, dark, or without factors: nothing is named, and nothing is advised."""
    rows = matrix(meter=0.1)
    for value in (np.ones(rows.rows), np.zeros(rows.rows)):
        assert causes_of(value, rows) == ()
    assert causes_of(np.ones(4), FactorTable().matrix(4)) == ()
    assert what_to_read(()) == ""


def test_what_to_read_first_follows_from_the_cause():
    """Never read: read the bare lamp. Read with one meter: another meter. The verdict of a plan says so."""
    lines = starter_text("arid").split("\n")
    bare = "\n".join(line for line in lines if "evidence:" not in line and "{distance" not in line)
    report = check_light(read_plan_text(bare))
    ceiling = next(v for v in report.verdicts if v.id.startswith("uv-ceiling"))
    assert ceiling.state == "over"
    assert "read the bare lamp" in ceiling.advice
    assert "class" in ceiling.number("due_1").label
    read = check_light(read_plan_text(starter_text("arid")))
    ceiling = next(v for v in read.verdicts if v.id.startswith("uv-ceiling"))
    assert ceiling.state == "unknown"
    assert "second meter" in ceiling.advice
    assert "club meter" in ceiling.number("due_1").label
    assert 0.5 < ceiling.number("due_1").value <= 1.0


def test_a_meter_of_stated_accuracy_turns_the_unknown():
    """The advice is true: the example's ceiling with both lamps read by a meter of 3 % is known."""
    text = starter_text("arid").replace(
        "fixtures:\n", "meters: [{name: club meter, accuracy: 3 %}]\nfixtures:\n", 1
    )
    text = text.replace("93 cm]", "94 cm]")
    usual = starter_text("arid").replace("93 cm]", "94 cm]")
    states = [
        next(v for v in check_light(read_plan_text(t)).verdicts if v.id.startswith("uv-ceiling"))
        .number("chance_inside")
        .value
        for t in (usual, text)
    ]
    assert states[1] > states[0]
