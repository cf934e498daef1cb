"""What is added to a plan stands somewhere sound: no problem comes of it."""

import pytest

from sunfleck.document.entries import append_entry
from sunfleck.plan.read import read_plan_text
from sunfleck.service.workbench.new_parts import NEW, new_part


@pytest.mark.parametrize("group", [group for group in NEW if group != "backgrounds"])
@pytest.mark.parametrize("units", ["metric", "us"])
def test_each_kind_of_part_is_added_to_each_example_without_a_problem(tall, arid, group, units):
    """In the plan's units, under a name that is free."""
    for plan in (tall, arid):
        base = read_plan_text(plan.document.text.replace("show_units: metric", f"show_units: {units}"))
        entry = new_part(
            base.plan, base.library, group, lamp="led-bar-24w-60cm" if group == "fixtures" else ""
        )
        after = read_plan_text(append_entry(base.document, (group,), entry))
        assert len(getattr(after.plan, group)) == len(getattr(base.plan, group)) + 1
        assert getattr(after.plan, group)[-1].name == entry["name"]
