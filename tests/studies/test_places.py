"""Every verdict leads somewhere: to a place in the box, or to a part that its words name."""

import re

import numpy as np
import pytest

# A lamp's part of the box is told by its name; of the whole box there is no one place.
OF_THE_WHOLE = {"one-failure", "lamp-clearance", "lamp-guard", "uv-arrives"}
# Where no lamp is within reach, and of what fails, no part is named.
NOWHERE = {"one-failure", "lamp-guard"}
# Of parts that go through a door their names are told.
OF_PARTS = {"passage", "passage-out"}
GROUPS = ("backgrounds", "perches", "ledges", "hides", "fixtures")


@pytest.mark.parametrize("name", ["tall", "arid"])
def test_a_verdict_has_a_place_in_the_box(wholes, name, request):
    """It stands inside, at the words that are told where there are any."""
    plan = request.getfixturevalue(name).plan
    size = np.array([plan.enclosure.inside.width, plan.enclosure.inside.depth, plan.enclosure.inside.height])
    for verdict in wholes[name].verdicts:
        question = verdict.id.partition(":")[0]
        if question in OF_THE_WHOLE:
            labels = " ".join(number.label for number in verdict.numbers)
            assert any(fixture.name in labels for fixture in plan.fixtures) or question in NOWHERE
            continue
        if question in OF_PARTS:
            words = f"{verdict.question} {verdict.sentence} {verdict.advice}"
            assert any(part.name in words for group in GROUPS for part in getattr(plan, group))
            continue
        assert verdict.at is not None, verdict.id
        told = re.search(r"x ([\d.]+) cm, y ([\d.]+) cm, z ([\d.]+) cm", verdict.place)
        if told:
            np.testing.assert_allclose(np.array(told.groups(), dtype=float) / 100, verdict.at, atol=6e-4)
        # A lamp over a mesh top is outside.
        assert (np.array(verdict.at)[:2] >= 0).all()
        assert (np.array(verdict.at)[:2] <= size[:2]).all()
