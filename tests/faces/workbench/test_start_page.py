"""From nothing: the questions, what is wrong with an answer, and the layout that comes of them."""

import pytest

from faces.workbench.person import sit_down
from sunfleck.faces.web.workbench.app import Workbench
from sunfleck.plan.read import read_plan
from sunfleck.service.first_plan import options


@pytest.fixture
def nothing(tmp_path, pages, monkeypatch):
    """A workbench without a plan; better layouts are not looked for."""
    monkeypatch.setattr("sunfleck.service.workbench.bench.Bench.refine", lambda _: None)
    monkeypatch.setattr("sunfleck.service.workbench.judging.Judging.ask", lambda *_: None)
    return Workbench(tmp_path)


def test_there_are_twelve_questions_at_most():
    """The promise of the first page."""
    assert len(options()) <= 12


def test_wrong_answers_are_told_all_at_once_where_they_were_given(nothing):
    """No plan is made; each question says what was wrong with its answer."""

    async def doing(person):
        await person.enter("ask size", "160 cm x 70 x 100")
        await person.enter("ask room_winter", "warm")
        person.click("propose")
        for words in ("try 70 cm or 70 in", "a temperature: a number and its unit", "choose one"):
            await person.until(lambda w=words: person.sees(w), words)
        assert nothing.bench is None

    sit_down(nothing, doing)


def test_an_example_is_opened_in_a_folder_of_its_own(nothing, tmp_path):
    """And a second time it is not written over."""

    async def doing(person):
        person.click("example arid")
        await person.until(lambda: nothing.bench is not None and person.has("plan-name"), "the plan")
        assert read_plan(tmp_path / "arid").plan.name == "Window-side dragon"
        again = await person.another()
        del again

    sit_down(nothing, doing)


def test_a_layout_is_proposed_with_its_reasons(nothing, tmp_path):
    """Animal and size are enough: a plan the command line reads, opened with a reason for each of its things."""

    async def doing(person):
        await person.enter("ask species", "Pogona vitticeps")
        await person.enter("ask size", "48 in x 24 in x 24 in")
        await person.enter("ask show_units", "us")
        await person.enter("ask name", "Hall dragon")
        person.click("propose")
        await person.until(lambda: nothing.bench is not None and person.has("plan-name"), "the plan")
        plan = read_plan(tmp_path / "hall-dragon").plan
        assert plan.name == "Hall dragon"
        reasons = nothing.bench.reasons
        for group in ("fixtures", "perches", "ledges", "hides"):
            for part in getattr(plan, group):
                assert reasons[f"{group}/{part.name}"].reason
        assert not nothing.bench.state.problems

    sit_down(nothing, doing)
