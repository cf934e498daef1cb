"""Plans to edit, each in a folder of its own."""

import pytest


@pytest.fixture
def plan_file(tmp_path):
    """The tall planted example as a file."""
    from sunfleck.service.starting import write_new_plan

    return write_new_plan(tmp_path / "box", "tall-planted")


@pytest.fixture
def session(plan_file):
    """It open for editing."""
    from sunfleck.service.workbench.session import PlanSession

    opened = PlanSession.open(plan_file)
    yield opened
    opened.close()
