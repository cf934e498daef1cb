"""The files of a passage: names every system takes, nothing half written, refusals in words."""

import numpy as np
import pytest

from oracles.cabinets import WALL, centred
from sunfleck.errors import SunfleckError
from sunfleck.geometry.passage.answer import passage_of
from sunfleck.geometry.passage.layers import Opening
from sunfleck.geometry.passage.stage import Stage
from sunfleck.outputs import drawing_library
from sunfleck.service import passage_files as files

CASE = centred((0.4, 0.3, 0.02), (0.5, 0.45), (0.6, 0.4, 0.6))
STAGE = Stage(CASE.inside, "front", WALL, (Opening("door", CASE.door[:2], CASE.door[2:]),))


@pytest.fixture(scope="module")
def answer():
    return passage_of(CASE.body(), STAGE.world(), CASE.goal(), 0.01)


def test_all_files(answer, tmp_path):
    """Drawings, data and templates stand in the folder under safe names; the data is the motion."""
    folder = tmp_path / "new" / "folder"
    drawn = files.drawn_motion("Back/panel", "Plan", STAGE, CASE.body(), answer, carried="One person.")
    assert all(step.room >= 0.01 for step in drawn.steps if step.kind != "dock")
    written = files.write_passage_drawings(drawn, folder, "../Back panel", "metric")
    written.append(files.write_replay("Back", "Plan", STAGE, CASE.body(), answer, folder, "Back panel"))
    written += files.write_templates("Back", STAGE, CASE.body(), answer, 0.01, folder, "Back panel", "us")
    assert {path.name for path in written} == {path.name for path in folder.iterdir()}
    assert sorted(path.name for path in written) == [
        "back-panel-motion.json", "back-panel-steps.pdf", "back-panel-steps.svg",
        "back-panel-template-opening.pdf", "back-panel-template-part.pdf", "back-panel-template.dxf",
    ]  # fmt: skip
    read = files.read_replay(folder / "back-panel-motion.json")
    assert np.array_equal(read.motion.turns, answer.motion.turns)
    assert np.array_equal(read.motion.places, answer.motion.places)


def test_the_way_out_is_the_way_in_backwards(answer):
    """Steps of the way out begin at its place and end outside."""
    out = files.drawn_motion("Back", "Plan", STAGE, CASE.body(), answer, out=True)
    assert out.title == "Back, out through the door"
    assert np.array_equal(out.motion.places, answer.motion.places[::-1])


def test_what_cannot_be_written_is_told(answer, tmp_path):
    """A file where the folder should be; a format of another kind; an answer without a motion."""
    (tmp_path / "taken").write_text("x")
    with pytest.raises(SunfleckError, match=r"cannot write .*taken.*folder you may write to"):
        files.write_replay("Back", "Plan", STAGE, CASE.body(), answer, tmp_path / "taken", "back")
    with pytest.raises(SunfleckError, match="one of pdf, dxf; got 'png'"):
        files.write_templates("B", STAGE, CASE.body(), answer, 0.01, tmp_path, "b", "metric", formats=["png"])
    wide = centred((0.7, 0.3, 0.02), (0.5, 0.45), (0.6, 0.4, 0.6))
    no = passage_of(wide.body(), STAGE.world(), wide.goal())
    with pytest.raises(SunfleckError, match="cannot go in"):
        files.drawn_motion("Wide", "Plan", STAGE, wide.body(), no)
    assert files.write_templates("Wide", STAGE, wide.body(), no, 0.01, tmp_path, "w", "us", formats=["dxf"])


def test_without_the_drawing_library(answer, tmp_path, monkeypatch):
    """Drawings say what to install; data and DXF need it not."""
    monkeypatch.setattr(drawing_library.importlib.util, "find_spec", lambda _name: None)
    drawn = files.drawn_motion("Back", "Plan", STAGE, CASE.body(), answer)
    with pytest.raises(SunfleckError, match="pip install"):
        files.write_passage_drawings(drawn, tmp_path, "back", "metric")
    with pytest.raises(SunfleckError, match="pip install"):
        files.write_templates("Back", STAGE, CASE.body(), answer, 0.01, tmp_path, "back", "metric")
    assert files.write_templates(
        "Back", STAGE, CASE.body(), answer, 0.01, tmp_path, "back", "metric", formats=["dxf"]
    )
    assert files.write_replay("Back", "Plan", STAGE, CASE.body(), answer, tmp_path, "back").exists()


def test_a_replay_that_cannot_be_read(tmp_path):
    """Not there, not text, not a motion: each says which file."""
    for content in (None, b"\xff\xfe", b"{}"):
        file = tmp_path / "motion.json"
        if content is not None:
            file.write_bytes(content)
        with pytest.raises(SunfleckError, match=r"motion\.json"):
            files.read_replay(file)


@pytest.mark.parametrize("words", ["", "...", "aux", "a/b\\c:d*?", "x" * 300, "\u0000\u202e"])
def test_names(words):
    """No path, no device, no sign that some system forbids, not too long."""
    name = files.safe_name(words)
    assert name
    assert len(name) <= 70
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert name != "aux"
