"""What comes from a browser is checked, and what goes there can be loaded."""

import re
from pathlib import Path

import pytest

from sunfleck.faces.web.workbench.scene import happenings
from sunfleck.faces.web.workbench.scene.happenings import read_happening

FOLDER = Path(happenings.__file__).parent
SOUND = {
    "picked": {"key": "perches/a", "additive": False},
    "dragging": {"seq": 3, "key": "perches/a", "delta": [0.01, 0, -0.02]},
    "dropped": {"key": "perches/a", "delta": [0, 0, 0.1]},
    "aimed": {"seq": 4, "key": "fixtures/a", "point": [0.1, 0.2, 0.3], "done": True},
    "section": {"seq": 5, "axis": "x", "place": 0.4, "done": False},
    "probed": {"point": [0.1, 0.2, 0.3], "key": None},
    "mark": {"id": "m1"},
    "command": {"name": "undo", "key": None},
}


@pytest.mark.parametrize("name", SOUND)
def test_events_are_read(name):
    happening = read_happening(name, SOUND[name])
    for key, value in SOUND[name].items():
        found = getattr(happening, key)
        assert found == (tuple(value) if isinstance(value, list) else value)


@pytest.mark.parametrize("name", SOUND)
@pytest.mark.parametrize(
    "wrong", [None, [], "text", 3, float("nan"), float("inf"), {"a": 1}, [1, 2], [1, 2, "x"]]
)
def test_no_event_causes_a_traceback(name, wrong):
    assert read_happening(name, wrong) is None
    for key in SOUND[name]:
        read_happening(name, {**SOUND[name], key: wrong})
        short = {each: value for each, value in SOUND[name].items() if each != key}
        assert read_happening(name, short) is None


@pytest.mark.parametrize("place", [float("nan"), float("inf"), "here", None])
def test_places_are_numbers(place):
    assert read_happening("dropped", {"key": "a", "delta": [0, place, 0]}) is None
    assert read_happening("section", {**SOUND["section"], "place": place}) is None


def test_scripts_import_only_what_the_page_has():
    """One name that the import map does not hold leaves the whole page blank."""
    scripts = sorted(FOLDER.rglob("*.js"))
    assert len(scripts) > 10
    for script in scripts:
        text = script.read_text(encoding="utf-8")
        assert text.count("\n") < 300, script.name
        # Types in comments are written as imports.
        code = re.sub(r"/\*.*?\*/|^\s*//.*$", "", text, flags=re.S | re.M)
        assert not re.search(r"\bimport\(|https?://", code), script.name
        for wanted in re.findall(r'^(?:import|export) .* from "(.+)";$', text, re.M):
            if wanted.startswith("./"):
                assert (script.parent / wanted).exists(), f"{script.name}: {wanted}"
            else:
                assert wanted in ("nicegui-scene", "sunfleck-scene"), f"{script.name}: {wanted}"
