"""Fixtures that several folders share."""

import pytest
from hypothesis import settings

# How long an example takes is no promise: the machine may be busy, and kernels compile at their first call.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


@pytest.fixture(scope="session")
def tall():
    """The tall planted example, read."""
    from sunfleck.plan.read import read_plan_text
    from sunfleck.service.starting import starter_text

    return read_plan_text(starter_text("tall-planted"))


@pytest.fixture(scope="session")
def arid():
    """The arid example, read."""
    from sunfleck.plan.read import read_plan_text
    from sunfleck.service.starting import starter_text

    return read_plan_text(starter_text("arid"))


@pytest.fixture(scope="session")
def reports(tall, arid):
    """The light of both examples checked, once."""
    from sunfleck.service.cases import check_light

    return {"tall": check_light(tall), "arid": check_light(arid)}


@pytest.fixture(scope="session")
def wholes(tall, arid):
    """Both examples checked, once: light, heat and air."""
    from sunfleck.service.cases import check

    return {"tall": check(tall), "arid": check(arid)}


@pytest.fixture(scope="session")
def warm(reports):
    """Kernels compiled, so that what is timed is the work."""
    return bool(reports)


@pytest.fixture(scope="session")
def weak_round(tall):
    """The tall example with the meter round of a weak tube taken in; light only is asked of it."""
    from oracles.rounds import weak_survey
    from sunfleck.service.meter_round import Metered

    return Metered(tall, [weak_survey(tall)])
