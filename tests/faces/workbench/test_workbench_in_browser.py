"""The workbench as it is started, in a real browser: `sunfleck open`, and what a person does there."""

import os
import re
import signal
import subprocess
import sys
import urllib.error
import urllib.request

import numpy as np
import pytest

from sunfleck.document.problem import PlanError
from sunfleck.outputs.scales import value_words
from sunfleck.plan.read import read_plan
from sunfleck.service.cases import light_at
from sunfleck.service.starting import write_new_plan

VIEW = "document.querySelector('.sf-scene').sceneView"
LAMP = "fixtures/left flood"
PATIENCE = 60_000  # far more than anything takes [ms]


class Program:
    """`sunfleck open`, running."""

    def __init__(self, plan, cwd):
        self.process = subprocess.Popen(
            [sys.executable, "-m", "sunfleck", "open", "--no-browser", *([str(plan)] if plan else [])],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            cwd=cwd,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )
        line = self.process.stdout.readline()
        found = re.search(r"http://\S+", line)
        assert found, line + self.process.stderr.read()
        self.address = found[0]

    def end(self, how=signal.SIGINT):
        """Stop it, and return what it said at its end."""
        self.process.send_signal(how)
        said, wrong = self.process.communicate(timeout=30)
        return said, wrong


@pytest.fixture(scope="module")
def arid_file(tmp_path_factory):
    """The arid example as a file; tests may move things, and leave it saved."""
    return write_new_plan(tmp_path_factory.mktemp("plans") / "arid", "arid")


@pytest.fixture(scope="module")
def program(arid_file):
    """The workbench with that plan, for several tests."""
    running = Program(arid_file, arid_file.parent)
    yield running
    _, wrong = running.end()
    assert wrong == ""


@pytest.fixture
def own_file(tmp_path):
    """A plan that no other test has open."""
    return write_new_plan(tmp_path / "arid", "arid")


@pytest.fixture
def window(browser, program):
    """A window on it; errors of the page are failures."""
    context = browser.new_context(viewport={"width": 1280, "height": 800}, reduced_motion="reduce")
    wrong = []
    page = context.new_page()
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda said: said.type == "error" and wrong.append(said.text))
    opened(page, program)
    yield page
    context.close()
    assert wrong == []


def opened(page, program):
    """Open the page, and wait for its picture and its light."""
    page.set_default_timeout(PATIENCE)
    page.goto(program.address)
    page.wait_for_function(f"{VIEW}?.frames > 0 && {VIEW}.items.byKey.size > 5")
    return page


def place_of(page, key):
    """Where a part is on the page. [px]"""
    return page.evaluate(
        f"""key => {{ const v = {VIEW}, item = v.items.byKey.get(key), box = v.canvas.getBoundingClientRect();
        const body = item.body.geometry; body.computeBoundingBox();
        const at = body.boundingBox.getCenter(item.anchor.clone()).add(item.offset), s = v.screenOf(at);
        return [s.x + box.x, s.y + box.y]; }}""",
        key,
    )


def height_of(plan_file, name):
    """How high a lamp hangs in the file. [m]"""
    return next(f.at[2] for f in read_plan(plan_file).plan.fixtures if f.name == name)


def test_a_lamp_is_dragged_and_the_numbers_are_those_of_light_at(window, arid_file):
    """What is dragged is one step of the plan; a value asked for on the cut is `light_at` of the saved file."""
    before = arid_file.read_text()
    window.locator("button.sf-chip", has_text="left flood").click()
    window.wait_for_function(f"{VIEW}.selected === '{LAMP}'")
    x, y = place_of(window, LAMP)
    window.mouse.move(x, y)
    window.mouse.down()
    window.mouse.move(x + 30, y + 6, steps=5)
    window.mouse.up()
    window.get_by_text("Not saved yet").wait_for()
    window.keyboard.press("Control+s")
    window.get_by_text("Saved ·").wait_for()
    after = arid_file.read_text()
    changed = [(a, b) for a, b in zip(before.splitlines(), after.splitlines(), strict=True) if a != b]
    # It goes on pointing the way it does: its place, and what it is aimed at.
    assert [new.strip().partition(":")[0] for _, new in changed] == ["at", "aim"]
    plan = read_plan(arid_file)
    old, new = (np.array(re.findall(r"([\d.]+) cm", line), dtype=float) for line in changed[0])
    assert new[2] == old[2]
    assert np.abs(new - old)[:2].max() >= 1
    # All lamps of the plan are lit in the hours that are shown.
    window.evaluate(f"() => {VIEW}.emit('probed', {{ point: [0.5, 0.35, 0.5], key: null }})")
    window.locator(".sf-value td").nth(7).wait_for()
    shown = window.locator(".sf-value td:nth-child(2)").all_inner_texts()
    lit = {fixture.name: 1.0 for fixture in plan.plan.fixtures}
    light = light_at(plan, [[0.5, 0.35, 0.5]], "brightest", lit)
    for words, name in zip(shown, ("uvi", "lux", "ppfd", "radiant"), strict=True):
        assert words.split()[0] == value_words(float(getattr(light, name).median[0]), name)
    window.locator("header button", has_text="Undo").click()
    window.get_by_text("Not saved yet").wait_for()
    window.keyboard.press("Control+s")
    window.get_by_text("Saved ·").wait_for()
    assert arid_file.read_text() == before


def test_everything_is_done_without_a_mouse(window, arid_file):
    """Tab to the picture, choose with a key, nudge up, undo, redo, save; Tab leads on from the picture."""
    window.evaluate("() => document.body.focus()")
    for _ in range(40):
        window.keyboard.press("Tab")
        if window.evaluate("document.activeElement.tagName") == "CANVAS":
            break
    else:
        pytest.fail("the picture is not in the order of the tab key")
    for _ in range(40):
        window.keyboard.press(".")
        if window.evaluate(f"{VIEW}.selected") == LAMP:
            break
    else:
        pytest.fail("the lamp was never chosen")
    start = height_of(arid_file, "left flood")
    window.keyboard.press("PageUp")
    window.keyboard.press("PageUp")
    window.get_by_text("Not saved yet").wait_for()
    window.keyboard.press("Control+z")
    window.get_by_text("Saved ·").wait_for()
    window.keyboard.press("Control+y")
    window.get_by_text("Not saved yet").wait_for()
    window.keyboard.press("Control+s")
    window.get_by_text("Saved ·").wait_for()
    assert height_of(arid_file, "left flood") == pytest.approx(start + 0.02)
    window.keyboard.press("Tab")
    assert window.evaluate("document.activeElement.tagName") != "CANVAS"


def test_killed_while_editing_nothing_is_lost(browser, own_file):
    """Kill -9; the file is as it was saved last; opened again, the steps are there, and can be undone."""
    program = Program(own_file, own_file.parent)
    before = own_file.read_text()
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    page = opened(context.new_page(), program)
    page.locator("button.sf-chip", has_text="basking slab").click()
    field = page.get_by_label("x, at", exact=True)
    field.fill("33 cm")
    field.press("Enter")
    page.get_by_text("Not saved yet").wait_for()
    program.process.kill()
    program.process.communicate(timeout=30)
    context.close()
    assert own_file.read_text() == before
    again = Program(own_file, own_file.parent)
    context = browser.new_context(viewport={"width": 1280, "height": 800})
    page = opened(context.new_page(), again)
    page.get_by_text("came back").first.wait_for()
    page.locator("button.sf-chip", has_text="basking slab").click()
    page.wait_for_function("() => [...document.querySelectorAll('input')].some(i => i.value === '33 cm')")
    page.locator("header button", has_text="Undo").click()
    page.get_by_text("Saved ·").wait_for()
    context.close()
    assert again.end()[1] == ""


def test_on_a_phone_everything_is_read_without_scrolling_sideways(browser, program):
    """390 px wide: picture, verdicts and parts below each other; and with the page twice as large."""
    for size, scale in (((390, 844), 2), ((640, 400), 2)):
        context = browser.new_context(
            viewport=dict(zip(("width", "height"), size, strict=True)), device_scale_factor=scale
        )
        page = opened(context.new_page(), program)
        page.locator(".sf-verdict").first.wait_for()
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
        box = page.locator(".sf-stage").bounding_box()
        assert box["width"] <= size[0]
        assert page.locator(".sf-verdict").first.bounding_box()["y"] > box["y"]
        context.close()


def test_two_windows_agree(browser, program):
    """What is typed in one stands in the other; undone there, it is undone here."""
    windows = []
    for _ in range(2):
        context = browser.new_context(viewport={"width": 1280, "height": 800})
        windows.append(opened(context.new_page(), program))
        windows[-1].locator("button.sf-chip", has_text="basking slab").click()
    one, other = (page.get_by_label("y, at", exact=True) for page in windows)
    before = one.input_value()
    one.fill("20 cm")
    one.press("Enter")
    windows[1].wait_for_function(
        "() => [...document.querySelectorAll('input')].some(i => i.value === '20 cm')"
    )
    assert other.input_value() == "20 cm"
    windows[1].locator("header button", has_text="Undo").click()
    windows[0].wait_for_function(
        "was => ![...document.querySelectorAll('input')].some(i => i.value === '20 cm')", arg=before
    )
    assert one.input_value() == before
    for page in windows:
        page.context.close()


def test_from_nothing_to_first_verdicts(browser, tmp_path):
    """Without a plan: three answers, a layout in a folder of its own, verdicts; nothing serious for an audit either."""
    from axe_playwright_python.sync_playwright import Axe

    running = Program(None, tmp_path)
    context = browser.new_context(viewport={"width": 1280, "height": 800}, bypass_csp=True)
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    page.goto(running.address)
    animal = page.get_by_label("Which animal?")
    animal.fill("Pogona")
    page.locator(".q-menu .q-item").first.click()
    page.get_by_label("How large is it inside").fill("160 cm x 70 cm x 100 cm")
    page.get_by_label("What is the enclosure called?").fill("Hall dragon")
    for look in ("light", "dark"):
        page.emulate_media(color_scheme=look)
        page.wait_for_function(f"document.body.classList.contains('body--{look}')")
        # Colours of buttons fade over; an audit in between would be of neither look.
        page.wait_for_function("document.getAnimations().every(each => each.playState !== 'running')")
        assert serious_of(Axe().run(page)) == {}, look
    page.locator("button", has_text="Propose").click()
    page.locator(".sf-verdict").first.wait_for()
    assert read_plan(tmp_path / "hall-dragon").plan.name == "Hall dragon"
    context.close()
    assert running.end()[1] == ""


def serious_of(found):
    """What an audit found that is serious or critical, by rule."""
    return {
        each["id"]: [node["html"][:160] for node in each["nodes"]]
        for each in found.response["violations"]
        if each["impact"] in ("serious", "critical")
    }


@pytest.mark.parametrize("look", ["light", "dark"])
def test_an_audit_of_accessibility_finds_nothing_serious(browser, program, look):
    """axe-core on the page of a plan with a part chosen and a verdict open, every other as it is while it is judged anew."""
    from axe_playwright_python.sync_playwright import Axe

    context = browser.new_context(viewport={"width": 1280, "height": 800}, color_scheme=look, bypass_csp=True)
    page = opened(context.new_page(), program)
    page.locator("button.sf-chip", has_text="left flood").click()
    page.locator(".sf-verdict button.head").first.click()
    page.locator(".sf-verdict .body:visible").first.wait_for()
    page.evaluate(
        "document.querySelectorAll('.sf-verdict:nth-child(even)').forEach(e => e.classList.add('old'))"
    )
    assert page.locator(".sf-verdict.old").count() > 2
    found = serious_of(Axe().run(page))
    context.close()
    assert found == {}


def test_the_server_answers_nobody_else(program):
    """Over the network as it is: no token, a wrong one, another host, another origin, on pages, parts and the socket."""
    base = program.address.partition("/?")[0]
    paths = [
        "/",
        "/?token=wrong",
        "/_nicegui_ws/socket.io/?EIO=4&transport=polling",
        "/_nicegui/3.18.0/static/nicegui.js",
        "/favicon.ico",
        "/nothing",
    ]
    for path in paths:
        for headers in ({}, {"Origin": "http://other.example"}, {"Host": "other.example"}):
            request = urllib.request.Request(base + path, headers=headers)
            with pytest.raises(urllib.error.HTTPError) as refused:
                urllib.request.urlopen(request, timeout=20)
            assert refused.value.code in (401, 403, 421)
            refused.value.close()


def test_it_ends_when_it_is_interrupted_and_says_so(own_file):
    """Ctrl-C: a line, no trace, no lock left that would keep the next one out."""
    for _ in range(2):
        said, wrong = Program(own_file, own_file.parent).end()
        assert "ended" in said
        assert wrong == ""


def test_a_plan_that_is_not_there_is_told_as_everywhere(tmp_path):
    """The same message and exit code as of the other commands."""
    found = subprocess.run(
        [sys.executable, "-m", "sunfleck", "open", "--no-browser", str(tmp_path / "none")],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert found.returncode == 2
    assert "file.unreadable" in found.stderr + found.stdout
    with pytest.raises(PlanError):
        read_plan(tmp_path / "none")
    assert "Traceback" not in found.stderr
