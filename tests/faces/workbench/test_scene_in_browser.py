"""The picture in a real browser: it is picked from, moved, turned, marked, painted, and lets go of everything."""

import asyncio
import time
from functools import partial
from types import SimpleNamespace

import numpy as np
import pytest

from sunfleck.outputs.scene.build import scene_of
from sunfleck.outputs.scene.packing import pack
from sunfleck.outputs.scene.parts import Cloud, IsoLine, Mark, Paint, Section
from sunfleck.outputs.scene.words import scene_words

LIMB = "perches/main limb"
LAMP = "fixtures/basking lamp"
# The middle of a perch's middle ring: well inside its outline, whatever way it is seen.
AT = """key => {
  const view = document.querySelector('.sf-scene').sceneView, item = view.items.byKey.get(key);
  const place = item.body.geometry.attributes.position.array, ring = item.sent.ring.array;
  const wanted = item.sent.along.shape[0] >> 1, at = item.anchor.clone().set(0, 0, 0);
  let count = 0;
  ring.forEach((each, k) => {
    if (each !== wanted) return;
    count += 1;
    at.set(at.x + place[3 * k], at.y + place[3 * k + 1], at.z + place[3 * k + 2]);
  });
  const shown = view.screenOf(at.divideScalar(count).add(item.offset));
  return [shown.x, shown.y];
}"""
VIEW = "document.querySelector('.sf-scene').sceneView"
STILL = f"() => {{ const v = {VIEW}; return !v.pace.awaited && !v.orbit.running }}"


@pytest.fixture(scope="module")
def shown(browser, pages, tall):
    """A page with the tall example in it, and what happened there."""
    from nicegui import core, ui

    from sunfleck.faces.web.workbench.scene.element import SceneView

    scene = scene_of(tall)
    found = SimpleNamespace(scene=scene, happened=[], view=None, answer=True, errors=[])

    def happened(what):
        found.happened.append(what)
        if what == "after":
            found.view.delete()
        if found.answer and hasattr(what, "seq"):
            found.view.paint(what.seq, pack(Paint()))

    def build():
        found.view = SceneView(
            on_ready=partial(happened, "ready"),
            **{
                f"on_{name}": happened
                for name in ("picked", "dragging", "dropped", "aimed", "section", "probed")
            },
            on_mark=happened,
            on_command=happened,
        )
        ui.query(".nicegui-content").classes("p-0")  # places on the canvas are places on the page
        found.view.style("width: 480px; height: 360px")
        found.view.show(pack(scene))
        ui.button("after", on_click=lambda _: happened("after"))

    ui.page("/scene")(build)
    # Turning to a view is at once where motion is not wanted.
    context = browser.new_context(
        viewport={"width": 480, "height": 420}, reduced_motion="reduce", has_touch=True
    )
    page = context.new_page()
    page.on("pageerror", lambda error: found.errors.append(str(error)))
    page.on("console", lambda said: said.type == "error" and found.errors.append(said.text))
    page.goto(f"{pages}/scene")
    page.wait_for_function(f"{VIEW}?.frames > 0")
    found.page = page
    found.call = lambda name, *args: core.loop.call_soon_threadsafe(partial(getattr(found.view, name), *args))
    yield found
    context.close()


def wait(shown, condition, what):
    """What comes from the browser comes when it comes."""
    until = time.monotonic() + 10
    while time.monotonic() < until:
        found = [each for each in shown.happened if condition(each)]
        if found:
            return found[-1]
        shown.page.wait_for_timeout(15)
    pytest.fail(f"no {what}; {shown.happened} {shown.errors}")


def named(name):
    return lambda each: type(each).__name__ == name


def begin(shown, key=None):
    shown.call("show", pack(shown.scene))
    # Messages arrive in order: when another choice is seen, the scene is there.
    for chosen in ("substrate/ground", key):
        shown.call("select", chosen)
        shown.page.wait_for_function(f"key => {VIEW}.selected === key", arg=chosen)
    shown.page.wait_for_function(STILL)
    shown.happened.clear()


def test_a_click_picks_and_a_click_beside_picks_nothing(shown):
    begin(shown)
    shown.page.mouse.click(*shown.page.evaluate(AT, LIMB))
    assert wait(shown, named("Picked"), "pick").key == LIMB
    shown.happened.clear()
    shown.page.mouse.click(6, 6)
    assert wait(shown, named("Picked"), "pick").key is None


def test_a_drag_snaps_to_the_grid_and_stays_level(shown):
    begin(shown, LIMB)
    x, y = shown.page.evaluate(AT, LIMB)
    shown.page.mouse.move(x, y)
    shown.page.mouse.down()
    shown.page.mouse.move(x + 12, y + 6, steps=3)
    assert shown.page.locator(".sf-length").count() >= 1
    shown.page.mouse.move(x + 24, y + 4, steps=3)
    shown.page.mouse.up()
    delta = np.array(wait(shown, named("Dropped"), "drop").delta)
    anchor = np.array(shown.scene.item(LIMB).anchor)
    assert delta[2] == 0
    assert np.abs(delta[:2]).max() > 0.01
    # The place is on the grid, and what is reported is what is shown.
    np.testing.assert_allclose((anchor + delta)[:2] * 100, np.round((anchor + delta)[:2] * 100), atol=1e-4)
    seen = shown.page.evaluate(f"key => {VIEW}.items.byKey.get(key).offset.toArray()", LIMB)
    np.testing.assert_allclose(seen, delta, atol=1e-6)
    assert all(each.key == LIMB for each in shown.happened if named("Dragging")(each))
    # The whole of it stays between the walls.
    box = shown.scene.item(LIMB).mesh.positions + delta
    assert (box.max(axis=0) <= np.array(shown.scene.size) + 1e-6).all()


def test_of_many_moves_one_is_under_way(shown):
    begin(shown, LIMB)
    shown.answer = False
    x, y = shown.page.evaluate(AT, LIMB)
    shown.page.mouse.move(x, y)
    shown.page.mouse.down()
    shown.page.mouse.move(x + 60, y + 10, steps=20)
    moves = sum(map(named("Dragging"), shown.happened))
    shown.page.keyboard.press("Escape")
    shown.page.mouse.up()
    shown.answer = True
    assert moves <= 6
    shown.page.wait_for_timeout(300)
    assert not any(map(named("Dropped"), shown.happened))
    assert shown.page.evaluate(f"key => {VIEW}.items.byKey.get(key).offset.toArray()", LIMB) == [0, 0, 0]
    assert wait(shown, named("Dragging"), "word that it is back").delta == (0.0, 0.0, 0.0)


def test_alt_and_the_arrow_raise(shown):
    begin(shown, LIMB)
    x, y = shown.page.evaluate(AT, LIMB)
    shown.page.keyboard.down("Alt")
    shown.page.mouse.move(x, y)
    shown.page.mouse.down()
    shown.page.mouse.move(x + 5, y + 25, steps=4)
    shown.page.mouse.up()
    shown.page.keyboard.up("Alt")
    lowered = wait(shown, named("Dropped"), "drop").delta
    assert lowered[:2] == (0.0, 0.0)
    assert lowered[2] < -0.02
    begin(shown, LIMB)
    x, y = shown.page.evaluate(
        f"() => {{ const v = {VIEW}, a = v.screenOf(v.handles.raise.position); return [a.x, a.y - 12] }}"
    )
    shown.page.mouse.move(x, y)
    shown.page.mouse.down()
    shown.page.mouse.move(x, y + 30, steps=4)
    shown.page.mouse.up()
    assert wait(shown, named("Dropped"), "drop").delta[2] < -0.02


def test_keys_nudge_and_command_and_tab_leaves(shown):
    begin(shown, LIMB)
    canvas = shown.page.locator(".sf-scene canvas")
    canvas.focus()
    # A wide limb has hardly any room to the sides: it moves to the front and down.
    for key in ("ArrowDown", "ArrowDown", "Shift+PageDown"):
        shown.page.keyboard.press(key)
    assert wait(shown, named("Dropped"), "drop").delta == pytest.approx((0.0, -0.02, -0.10))
    assert sum(map(named("Dropped"), shown.happened)) == 1
    assert "main limb moved to" in shown.page.locator(".sf-scene [aria-live]").text_content()
    for key, name in (
        ("Delete", "delete"),
        ("Control+d", "duplicate"),
        ("Control+z", "undo"),
        ("Control+y", "redo"),
    ):
        shown.page.keyboard.press(key)
        assert wait(shown, lambda each, name=name: getattr(each, "name", None) == name, name).key == LIMB
    shown.page.keyboard.press("Period")
    assert wait(shown, named("Picked"), "next").key != LIMB
    shown.page.keyboard.press("Comma")
    assert wait(
        shown, lambda each: getattr(each, "additive", None) is False and each.key == LIMB, "one before"
    )
    shown.page.keyboard.press("Tab")
    assert shown.page.evaluate("document.activeElement.tagName") != "CANVAS"


def test_a_lamp_is_aimed_by_hand_and_by_keys(shown):
    begin(shown, LAMP)
    x, y = shown.page.evaluate(
        f"() => {{ const v = {VIEW}, a = v.screenOf(v.selectedItem().aim); return [a.x, a.y] }}"
    )
    shown.page.mouse.move(x, y)
    shown.page.mouse.down()
    shown.page.mouse.move(x + 30, y, steps=4)
    shown.page.mouse.up()
    by_hand = wait(shown, lambda each: named("Aimed")(each) and each.done, "aim")
    was = shown.scene.item(LAMP).aim
    assert by_hand.point[2] == pytest.approx(was[2])
    assert by_hand.point != pytest.approx(was)
    begin(shown, LAMP)
    shown.page.locator(".sf-scene canvas").focus()
    for key in ("a", "ArrowRight"):
        shown.page.keyboard.press(key)
    by_key = wait(shown, lambda each: named("Aimed")(each) and each.done, "aim")
    assert by_key.point == pytest.approx((was[0] + 0.01, was[1], was[2]))


def test_views_and_walls_that_turn_clear(shown):
    begin(shown)
    state = f"""() => {{ const v = {VIEW}; return {{
        elevation: v.orbit.elevation,
        front: v.shell.walls.get('front').surface.visible, back: v.shell.walls.get('back').surface.visible,
        right: v.shell.walls.get('right').surface.visible, left: v.shell.walls.get('left').surface.visible }} }}"""
    shown.page.locator(".sf-scene canvas").focus()
    seen = {}
    for key, name in zip("12345", ("front", "left", "right", "top", "corner"), strict=True):
        shown.page.keyboard.press(key)
        shown.page.wait_for_function(STILL)
        seen[name] = shown.page.evaluate(state)
    assert seen["front"]["back"]
    assert not seen["front"]["front"]
    assert seen["left"]["right"]
    assert not seen["left"]["left"]
    assert seen["right"]["left"]
    assert not seen["right"]["right"]
    assert seen["top"]["elevation"] == pytest.approx(np.pi / 2)
    before = shown.page.evaluate(f"{VIEW}.orbit.distance")
    shown.page.keyboard.press("+")
    assert shown.page.evaluate(f"{VIEW}.orbit.distance") < before


def test_marks_are_buttons_with_a_word_and_a_shape(shown):
    begin(shown)
    states = ("meets", "short", "over", "unknown")
    shown.call(
        "marks",
        [Mark(f"m{k}", state, f"UV at {k}", (0.3 + 0.15 * k, 0.3, 0.5)) for k, state in enumerate(states)],
    )
    marks = shown.page.locator(".sf-mark")
    marks.nth(3).wait_for()
    assert [mark.get_attribute("aria-label") for mark in marks.all()] == [
        f"{scene_words()[s]}: UV at {k}" for k, s in enumerate(states)
    ]
    assert len({mark.locator("svg").inner_html() for mark in marks.all()}) == len(states)
    marks.nth(1).focus()
    assert marks.nth(1).locator(".sf-word").is_visible()
    marks.nth(2).click()
    assert wait(shown, named("MarkPicked"), "mark").id == "m2"
    shown.call("marks", [])
    shown.page.wait_for_function("!document.querySelector('.sf-mark')")


def test_a_section_is_dragged_and_asked(shown):
    begin(shown)
    picture = np.full((8, 8, 4), 200, np.uint8)
    line = IsoLine(np.array([[0.1, 0.1, 0.8], [0.5, 0.5, 0.8]], np.float32), "2.5", "#ffffff")
    cloud = Cloud(np.full((3, 3), 0.3, np.float32), np.full((3, 3), 90, np.uint8))
    section = Section("z", 0.8, (0.0, 0.0), shown.scene.size[:2], picture)
    shown.call("paint", 0, pack(Paint({}, section, (line,), cloud)))
    shown.page.wait_for_function(f"{VIEW}.overlay.section?.place === 0.8")
    assert shown.page.locator(".sf-iso").all_text_contents() == ["2.5"]
    shown.page.wait_for_function(STILL)
    shown.answer = False
    x, y = shown.page.evaluate(
        f"() => {{ const v = {VIEW}, a = v.screenOf(v.handles.tab.position); return [a.x, a.y] }}"
    )
    shown.page.mouse.move(x, y)
    shown.page.mouse.down()
    shown.page.mouse.move(x, y - 30, steps=3)
    shown.page.mouse.up()
    shown.answer = True
    moved = wait(shown, lambda each: named("SectionMoved")(each) and each.done, "section")
    assert moved.axis == "z"
    assert moved.place > 0.82
    assert moved.place * 100 == pytest.approx(round(moved.place * 100))
    shown.page.keyboard.down("Shift")
    shown.page.mouse.click(*shown.page.evaluate(AT, LIMB))
    shown.page.keyboard.up("Shift")
    probed = wait(shown, named("Probed"), "probe")
    assert probed.key in (LIMB, None)
    assert all(-1e-6 <= p <= size + 1e-6 for p, size in zip(probed.point, shown.scene.size, strict=True))
    shown.call("paint", 0, pack(Paint()))
    shown.page.wait_for_function(f"!{VIEW}.overlay.section")


def test_paints_and_scenes_leave_nothing_behind(shown):
    """Only what changed is built anew, and the number of things in the graphics memory stays what it is."""
    begin(shown)
    limb = shown.scene.item(LIMB)
    rings = np.tile(np.uint8([[250, 210, 40]]), (len(limb.along), 1))
    # Drawn first: what a frame has not used yet is not counted.
    count = f"() => {{ const v = {VIEW}; v.draw(); return [v.renderer.info.memory.geometries, v.renderer.info.memory.textures] }}"
    shown.page.evaluate(f"{VIEW}.items.byKey.get({LIMB!r}).kept = true")
    seen = []
    for _ in range(4):
        shown.call("show", pack(shown.scene))
        shown.call("paint", 0, pack(Paint({LIMB: rings})))
        shown.page.wait_for_timeout(60)
        shown.page.wait_for_function(STILL)
        seen.append(shown.page.evaluate(count))
    assert seen[-1] == seen[0]
    assert shown.page.evaluate(f"{VIEW}.items.byKey.get({LIMB!r}).kept")
    colour = shown.page.evaluate(
        f"[...{VIEW}.items.byKey.get({LIMB!r}).body.geometry.attributes.color.array.slice(0, 3)]"
    )
    # A surface that faces down is a sixth darker, one that faces up is as it was sent.
    assert np.array(colour) * 255 == pytest.approx([250, 210, 40], rel=0.17)
    # Nothing is drawn while nothing changes: two looks 0.4 s apart see the same frame, soon.
    frames = [shown.page.evaluate(f"{VIEW}.frames")]
    while len(frames) < 20 and frames[-1:] != frames[-2:-1]:
        shown.page.wait_for_timeout(400)
        frames.append(shown.page.evaluate(f"{VIEW}.frames"))
    assert frames[-1] == frames[-2]


def test_what_was_before_is_shown_beside_what_is(shown, arid):
    begin(shown)
    ghosts = f"() => {VIEW}.items.ghosts.children.length"
    shown.call("before", pack(shown.scene))
    shown.call("select", LIMB)
    shown.page.wait_for_function(f"key => {VIEW}.selected === key", arg=LIMB)
    assert shown.page.evaluate(ghosts) == 0
    shown.call("before", pack(scene_of(arid)))
    shown.page.wait_for_function(f"() => {VIEW}.items.ghosts.children.length >= 5")
    shown.call("before", None)
    shown.page.wait_for_function(f"() => {VIEW}.items.ghosts.children.length === 0")


def test_a_finger_scrolls_until_the_picture_is_tapped(shown):
    begin(shown)
    held = f"{VIEW}.canvas.style.touchAction"
    assert shown.page.evaluate(held) == "pan-y"
    shown.page.touchscreen.tap(20, 20)
    assert shown.page.evaluate(held) == "none"
    shown.page.touchscreen.tap(300, 410)  # beside it
    assert shown.page.evaluate(held) == "pan-y"


def test_lengths_are_in_the_readers_units(shown):
    words = f"([lengths, metres]) => {{ const Words = {VIEW}.words.constructor; return new Words(lengths, {{}}).length(metres) }}"
    cases = [
        ({"unit": "cm", "metre": 100, "part": 1}, 0.1249, "12 cm"),
        ({"unit": "in", "metre": 1 / 0.0254, "part": 0.5}, 0.114, "4.5 in"),
    ]
    assert [shown.page.evaluate(words, [lengths, metres]) for lengths, metres, _ in cases] == [
        wanted for *_, wanted in cases
    ]


def test_it_lets_go_of_everything(shown):
    view = shown.page.evaluate_handle(VIEW)
    shown.page.get_by_role("button", name="after").click()
    shown.page.wait_for_function("!document.querySelector('.sf-scene')")
    assert view.evaluate(
        "v => [v.signal.aborted, v.renderer.info.memory.geometries, v.items.byKey.size && v.pace.ended]"
    ) == [
        True,
        0,
        True,
    ]
    assert shown.errors == []


def test_the_driver_of_the_browser_leaves_other_tests_their_loop():
    async def answer():
        return 42

    assert asyncio.run(answer()) == 42
