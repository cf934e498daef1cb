"""The page of a plan, task by task, as a person does it; everything is really computed."""

import pytest

from faces.workbench.person import sit_down
from sunfleck.faces.web.workbench.app import Workbench
from sunfleck.plan.read import read_plan
from sunfleck.service.cases import check_light
from sunfleck.service.starting import write_new_plan


@pytest.fixture
def arid_file(tmp_path):
    """The arid example as a file."""
    return write_new_plan(tmp_path / "arid", "arid")


@pytest.fixture
def bench(arid_file, pages):
    """A workbench with the arid example open."""
    workbench = Workbench(arid_file.parent.parent)
    workbench.open(arid_file)
    return workbench


def test_verdicts_stand_beside_what_was_not_checked(bench, arid_file):
    """All verdicts of `check`, worst first, with their words; the list *not checked* beside them."""

    async def doing(person):
        await person.until(lambda: person.has("verdict uv-floor:the-dragon"), "light verdicts")
        judged = bench.bench.judged
        light = check_light(read_plan(arid_file))
        states = {verdict.id: verdict.state for verdict in light.verdicts}
        shown = {verdict.id: verdict.state for verdict in judged.report.verdicts}
        assert states.items() <= shown.items()
        for id_ in shown:
            assert person.has(f"verdict {id_}")
        with person.user.client:
            (listed,) = person.user.find(marker="not-checked").elements
            assert len(listed.default_slot.children) >= len(light.not_checked)
        person.click("verdict uv-ceiling:the-dragon")
        await person.user.should_see("What turns it?")

    sit_down(bench, doing)


@pytest.fixture
def quiet(monkeypatch, bench):
    """The same without verdicts and light, for what is asked of the text alone."""
    bench.bench._judging.end()
    monkeypatch.setattr(type(bench.bench._judging), "ask", lambda *_: None)
    monkeypatch.setattr("sunfleck.faces.web.workbench.picture.Picture._settle", _nothing)
    return bench


async def _nothing(*_):
    return None


def test_a_lamp_is_put_higher_by_hand_as_one_line_of_the_plan(quiet, arid_file):
    """Choose a lamp in the list, type its height, see it in the form; undo, redo; save: one line differs."""
    before = arid_file.read_text()

    async def doing(person):
        person.click("part fixtures/left flood")
        await person.until(lambda: person.has("field fixtures.2.at.2"), "the form")
        assert person.value("field fixtures.2.at.2") == "72 cm"
        await person.enter("field fixtures.2.at.2", "78 cm")
        assert quiet.bench.state.source.plan.fixtures[2].at[2] == pytest.approx(0.78)
        await person.until(lambda: person.text("kept").startswith("Not saved"), "that it is not saved")
        assert arid_file.read_text() == before
        person.click("undo")
        await person.until(lambda: person.value("field fixtures.2.at.2") == "72 cm", "the old height")
        person.click("redo")
        await person.until(lambda: person.value("field fixtures.2.at.2") == "78 cm", "the new height")
        person.click("save")
        await person.until(lambda: person.text("kept").startswith("Saved"), "that it is saved")

    sit_down(quiet, doing)
    changed = [
        (old, new)
        for old, new in zip(before.splitlines(), arid_file.read_text().splitlines(), strict=True)
        if old != new
    ]
    assert changed == [("    at: [44 cm, 58 cm, 72 cm]", "    at: [44 cm, 58 cm, 78 cm]")]


def test_parts_are_added_copied_renamed_and_removed(quiet):
    """Every step is seen in the list, and can be taken back."""

    async def doing(person):
        await person.enter("add-what", "ledges")
        person.click("add")
        await person.until(lambda: person.has("part ledges/ledge"), "the new ledge")
        person.click("duplicate")
        await person.until(lambda: person.has("part ledges/ledge 2"), "its copy")
        (index,) = [k for k, ledge in enumerate(quiet.bench.state.plan.ledges) if ledge.name == "ledge"]
        await person.enter("field name", "flat rock")
        await person.until(lambda: person.has("part ledges/flat rock"), "the new name")
        assert quiet.bench.state.plan.ledges[index].name == "flat rock"
        person.click("delete")
        await person.until(lambda: not person.has("part ledges/flat rock"), "it to be gone")
        for _ in range(4):
            person.click("undo")
        await person.until(lambda: not person.has("part ledges/ledge"), "the plan as it was")
        assert not quiet.bench.state.unsaved

    sit_down(quiet, doing)


def test_a_setting_a_lamp_lacks_is_added(quiet):
    """A guard for a lamp without one: chosen from the library's."""

    async def doing(person):
        person.click("part fixtures/left flood")
        await person.until(lambda: person.has("add-setting"), "the form")
        with person.user.client:
            (added,) = person.user.find(marker="add-setting").elements
            number = next(key for key, words in added.options.items() if words == "lamp guard")
        await person.enter("add-setting", number)
        await person.until(lambda: person.has("field fixtures.2.guard"), "the guard")
        assert quiet.bench.state.source.plan.fixtures[2].guard in quiet.bench.state.source.library.guards

    sit_down(quiet, doing)


def test_a_wrong_value_is_kept_told_and_taken_back(quiet):
    """A bare number is a problem, told with what was needed, where it was typed and on top; verdicts say that they wait."""

    async def doing(person):
        person.click("part fixtures/left flood")
        await person.until(lambda: person.has("field fixtures.2.at.2"), "the form")
        await person.enter("field fixtures.2.at.2", "78")
        await person.until(lambda: person.has("problems"), "the problem")
        await person.user.should_see("needed")
        assert quiet.bench.state.source is None
        assert person.value("field fixtures.2.at.2") == "78"
        person.click("undo")
        await person.until(lambda: not person.has("problems"), "it to be gone")

    sit_down(quiet, doing)


def test_units_are_switched_for_this_plan(quiet):
    """What is shown follows; what the user wrote stays as it is written."""

    async def doing(person):
        await person.enter("units", "us")
        await person.until(lambda: quiet.bench.state.plan.show_units == "us", "inches")
        person.click("part fixtures/left flood")
        await person.until(lambda: person.has("field fixtures.2.at.2"), "the form")
        assert person.value("field fixtures.2.at.2") == "72 cm"

    sit_down(quiet, doing)


def test_a_file_changed_elsewhere_is_merged_with_what_is_not_saved(quiet, arid_file):
    """Both changes are in the plan, comments stay, and the merge can be taken back."""

    async def doing(person):
        person.click("part fixtures/left flood")
        await person.until(lambda: person.has("field fixtures.2.at.2"), "the form")
        await person.enter("field fixtures.2.at.2", "78 cm")
        text = arid_file.read_text()
        arid_file.write_text(text.replace("night_drop: 3 K", "night_drop: 4 K"))
        await person.until(
            lambda: quiet.bench.state.plan.site.room.night_drop == pytest.approx(4.0), "what the file says"
        )
        assert quiet.bench.state.plan.fixtures[2].at[2] == pytest.approx(0.78)
        await person.user.should_see("changed outside")
        assert "# All lamps hang out of reach" in quiet.bench.state.text

    sit_down(quiet, doing)


def test_two_windows_on_one_plan_agree(quiet):
    """What is done in one is seen in the other; undo there takes it back here."""

    async def doing(person):
        other = await person.another()
        for window in (person, other):
            window.click("part ledges/basking slab")
            await window.until(lambda w=window: w.has("field ledges.0.at.0"), "the form")
        await person.enter("field ledges.0.at.0", "31 cm")
        await other.until(lambda: other.value("field ledges.0.at.0") == "31 cm", "the other window")
        other.click("undo")
        await person.until(lambda: person.value("field ledges.0.at.0") == "30 cm", "the first window")

    sit_down(quiet, doing)


def test_the_plan_is_edited_as_text_too(quiet):
    """One step; text that cannot be read is refused and stays to be mended."""

    async def doing(person):
        text = quiet.bench.state.text
        await person.enter("plan-text", text.replace("Window-side dragon", "Corner dragon"))
        person.click("take-text")
        await person.until(lambda: person.text("plan-name") == "Corner dragon", "the new name")
        await person.enter("plan-text", "format: [")
        person.click("take-text")
        await person.user.should_see("format: [")
        assert quiet.bench.state.plan.name == "Corner dragon"

    sit_down(quiet, doing)


def test_a_reading_that_nobody_took_is_a_problem_until_it_is_typed(quiet):
    """A value to begin with would be believed: one click turned a ceiling that is passed into one that is kept."""

    async def doing(person):
        person.click("part fixtures/front uv tube")
        await person.until(lambda: person.has("add-reading"), "the form")
        person.click("add-reading")
        await person.until(lambda: person.has("problems"), "the problem")
        assert quiet.bench.state.source is None
        await person.enter("field fixtures.0.evidence.2.distance", "60 cm")
        await person.enter("field fixtures.0.evidence.2.uvi", "2.1")
        await person.until(lambda: not person.has("problems"), "it to be gone")
        assert quiet.bench.state.source.plan.fixtures[0].evidence[2].uvi == pytest.approx(2.1)

    sit_down(quiet, doing)


def test_a_name_with_a_line_break_or_quotes_leaves_the_page_alive(quiet):
    """A step's label holds the name: the bar shows it, and everything below goes on."""

    async def doing(person):
        text = quiet.bench.state.text
        quiet.bench.session.replace_text(text.replace("name: left flood", r'name: "left\n\"flood\" <b>"'))
        name = 'left\n"flood" <b>'
        await person.until(lambda: person.has(f"part fixtures/{name}"), "the odd name")
        person.click(f"part fixtures/{name}")
        await person.until(lambda: person.has("delete"), "the form")
        person.click("delete")
        await person.until(lambda: not person.has(f"part fixtures/{name}"), "it to be gone")
        person.click("undo")
        await person.until(lambda: person.has(f"part fixtures/{name}"), "it to be back")

    sit_down(quiet, doing)


def test_text_that_is_taken_over_keeps_what_was_done_meanwhile(quiet):
    """Typing began before a lamp was moved: both are in the plan."""

    async def doing(person):
        text = quiet.bench.state.text
        await person.enter("plan-text", text.replace("Window-side dragon", "Corner dragon"))
        person.click("part fixtures/left flood")
        await person.until(lambda: person.has("field fixtures.2.at.2"), "the form")
        await person.enter("field fixtures.2.at.2", "77 cm")
        person.click("take-text")
        await person.until(lambda: person.text("plan-name") == "Corner dragon", "the new name")
        assert quiet.bench.state.plan.fixtures[2].at[2] == pytest.approx(0.77)

    sit_down(quiet, doing)


def test_a_conflict_that_is_undone_is_not_offered_any_more(quiet, arid_file):
    """Both changed one line; then the user takes theirs back: the file's comes in, and saving works."""

    async def doing(person):
        person.click("part fixtures/left flood")
        await person.until(lambda: person.has("field fixtures.2.at.2"), "the form")
        await person.enter("field fixtures.2.at.2", "78 cm")
        text = arid_file.read_text()
        arid_file.write_text(text.replace("at: [44 cm, 58 cm, 72 cm]", "at: [44 cm, 58 cm, 70 cm]"))
        await person.until(lambda: person.sees("Keep mine there"), "the conflict")
        person.click("undo")
        await person.until(
            lambda: quiet.bench.state.plan.fixtures[2].at[2] == pytest.approx(0.70), "what the file says"
        )
        await person.until(lambda: not person.sees("Keep mine there"), "no conflict any more")

    sit_down(quiet, doing)


def test_verdicts_of_the_plan_before_are_not_those_of_the_plan(bench):
    """From an edit on, and when readings are switched, until new verdicts come, none is current."""

    async def doing(person):
        await person.until(lambda: bench.bench.current, "first verdicts")
        person.click("part fixtures/left flood")
        await person.until(lambda: person.has("field fixtures.2.at.2"), "the form")
        await person.enter("field fixtures.2.at.2", "78 cm")
        assert not bench.bench.current
        await person.until(
            lambda: "plan before" in person.text("summary"), "that they are of the plan before"
        )
        await person.until(lambda: bench.bench.current, "new verdicts")

    sit_down(bench, doing)
