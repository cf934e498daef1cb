"""`sunfleck passage`: exit codes, JSON for a program, moves in plain words, a misspelt part."""

import json

import numpy as np
import pytest
from click.testing import CliRunner

from oracles.passage_plans import text_of
from sunfleck.faces.cli import main

DOOR = {"door": {"kind": "hinged", "at": "[10 cm, 10 cm]", "size": "[40 cm, 40 cm]", "swing": "left"}}
REST = (
    "ledges:\n  - {name: slab, at: [40 cm, 20 cm, 10 cm], size: [30 cm, 20 cm, 4 cm], finish: cork}\n"
    "hides:\n  - {name: cave, at: [5 cm, 5 cm, 0 cm], size: [20 cm, 20 cm, 12 cm], opening: front}\n"
)


@pytest.fixture
def plan(tmp_path):
    (tmp_path / "plan.yaml").write_text(text_of((90, 60, 70), DOOR, REST))
    return str(tmp_path)


def told(*arguments):
    result = CliRunner().invoke(main, ["passage", *arguments])
    return result.exit_code, result.output


def test_all_parts_in_order_and_out_again(plan):
    """Order, moves with lengths, hands, what was not looked at; the cave comes out again."""
    code, text = told(plan)
    assert code == 0
    for words in (
        "IN THIS ORDER",
        "1. slab: goes in through door",
        "OUT AGAIN",
        "cave: comes out",
        "1. push it",
        "one hand",
    ):
        assert words in text
    assert "NOT LOOKED AT" in text
    assert "common practice, no source" in text


def test_for_a_program(plan):
    """JSON of all, and of one part with its motion."""
    code, text = told(plan, "--json")
    data = json.loads(text)
    assert (code, data["exit_code"], data["order"]) == (0, 0, ["slab", "cave"])
    code, text = told(plan, "cave", "--out-again", "--json")
    part = json.loads(text)
    assert (code, part["direction"], part["verdict"]) == (0, "out", "goes in")
    assert part["motion"]["places_m"][0][1] > part["motion"]["places_m"][-1][1]


def test_wrong_input_is_a_line_and_code_2(plan):
    """A misspelt name gets its neighbour; --out-again needs a part."""
    code, text = told(plan, "slap")
    assert code == 2
    assert "did you mean slab" in text
    assert told(plan, "--out-again")[0] == 2


def test_a_part_that_cannot_go_in_is_code_1(tmp_path):
    """A block larger than its door in every way: proved, and what helps."""
    block = (
        "ledges:\n  - {name: rock, at: [20 cm, 5 cm, 5 cm], size: [50 cm, 50 cm, 50 cm], finish: rock-grey}\n"
    )
    (tmp_path / "plan.yaml").write_text(text_of((90, 60, 70), DOOR, block))
    code, text = told(str(tmp_path), "rock")
    assert code == 1
    assert "that is proved" in " ".join(text.split())
    assert "proof:" in text
    assert "fit it before the front is on" in text


def test_drawings_and_templates_of_one_part(plan, tmp_path):
    """Files by the part's name, named in the answer; the way out by a name of its own; the way is that of the answer."""
    folder = tmp_path / "drawn"
    code, text = told(plan, "cave", "--draw", str(folder), "--template", str(folder))
    assert code == 0
    names = {file.name for file in folder.iterdir()}
    assert names == {
        "cave-steps.svg", "cave-steps.pdf", "cave-motion.json",
        "cave-template-part.pdf", "cave-template-opening.pdf", "cave-template.dxf",
    }  # fmt: skip
    assert all(f"Wrote {folder / name}" in text for name in names)
    code, text = told(plan, "cave", "--out-again", "--draw", str(folder), "--json")
    part = json.loads(text)
    assert len(part["files"]) == 3
    replay = json.loads((folder / "cave-out-motion.json").read_text())
    assert replay["motion"]["places"] == pytest.approx(np.array(part["motion"]["places_m"]), abs=1e-8)
    assert {each["name"] for each in replay["box"]["standing"]} == {"slab"}


def test_a_panel_that_goes_in_only_in_pieces_is_drawn_as_these(tmp_path):
    """For each piece of the first cut a drawing, data and a template; the second finds the first standing."""
    door = {"door": {"at": "[5 cm, 5 cm]", "size": "[17 cm, 18 cm]"}}
    panel = "backgrounds:\n  - {name: back, face: back, thickness: 2 cm, finish: cork, at: [2 cm, 2 cm], size: [31 cm, 26 cm]}\n"
    (tmp_path / "plan.yaml").write_text(text_of((35, 25, 30), door, panel))
    folder = tmp_path / "drawn"
    code, text = told(str(tmp_path), "back", "--draw", str(folder), "--template", str(folder))
    assert code == 1
    assert "CUT IT" in text
    pieces = sorted(folder.glob("back-piece-*-motion.json"))
    assert len(pieces) >= 2
    assert len(list(folder.glob("back-piece-*-template.dxf"))) == len(pieces)
    standing = [{each["name"] for each in json.loads(file.read_text())["box"]["standing"]} for file in pieces]
    assert standing[:2] == [set(), {"piece 1"}]


def test_what_has_no_way_is_not_drawn_and_says_so(tmp_path):
    """A block that does not go in: its template is written, no drawing, the answer's own exit code."""
    block = (
        "ledges:\n  - {name: rock, at: [20 cm, 5 cm, 5 cm], size: [50 cm, 50 cm, 50 cm], finish: rock-grey}\n"
    )
    (tmp_path / "plan.yaml").write_text(text_of((90, 60, 70), DOOR, block))
    code, text = told(str(tmp_path), "rock", "--draw", str(tmp_path / "d"), "--template", str(tmp_path / "t"))
    assert code == 1
    assert "Nothing drawn: no way is known for rock." in text
    assert not (tmp_path / "d").exists()
    assert (tmp_path / "t" / "rock-template.dxf").exists()


@pytest.mark.parametrize("idle", [["--draw", "d"], ["--template", "t"], ["--out-again"], ["slab", "--dark"]])
def test_options_that_would_do_nothing_are_refused(plan, idle):
    """Drawings are of one part; --dark is of drawings."""
    code, text = told(plan, *idle)
    assert code == 2
    assert "nothing" in text
