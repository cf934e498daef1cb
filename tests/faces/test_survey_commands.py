"""`sunfleck survey`: from an empty folder to a table of readings; refusals in words, JSON for programs."""

import json

import pytest
from click.testing import CliRunner

from oracles.surveys import PLAN, SOUND
from sunfleck.faces.cli import main


def run(*words):
    done = CliRunner().invoke(main, ["survey", *map(str, words)])
    assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
    return done


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "plan.yaml").write_text(PLAN, encoding="utf-8")
    return tmp_path


def test_a_round_from_the_first_command_to_the_table(folder):
    """Begin, name the meters, enter one by one and as a table, look at it in both systems of units."""
    assert "survey new" in run("list", folder).stdout
    done = run(
        "new", folder, "--kind", "dry", "--by", "A. Keeper", "--room", "21 degC", "--date", "2026-11-26"
    )
    assert "2026-11-26-dry.yaml" in done.stdout
    assert run("instrument", folder, "name=club meter", "reads=uvi,lux", "accuracy=10 %").exit_code == 0
    assert run("instrument", folder, "name=probe", "reads=air, surface", "accuracy=0.5 K").exit_code == 0
    done = run("add", folder, "at=1", "uvi=24", "with=club meter", "note=a = b")
    assert done.exit_code == 0
    assert "1 entered in 2026-11-26-dry." in done.stdout
    assert "above 15" in done.stdout
    table = folder / "round.csv"
    table.write_text("at;surface [degC];with;lit\nleft branch;35,5;probe;uv tube\n", encoding="utf-8")
    done = run("csv", folder, table, "--json", "--survey", "dry")
    assert {**json.loads(done.stdout), "file": None} == {
        "schema": 1, "file": None, "taken": 1, "waiting": 0, "why": [], "asked": [],
    }  # fmt: skip
    shown = run("show", folder).stdout
    for words in (
        "room 21 degC",
        "surface [degC]",
        "35.5",
        "two of three within 0.5 K",
        "a = b",
        "nothing is corrected",
    ):
        assert words in shown
    assert "95.9" in run("show", folder, "dry", "--units", "us").stdout
    plain = json.loads(run("show", folder, "--json").stdout)
    assert plain["readings"][0] == {
        "at": "1",
        "uvi": 24.0,
        "with": "club meter",
        "mesh": "in place",
        "note": "a = b",
    }
    assert [slip["reading"] for slip in plain["asked"]] == [0]
    assert json.loads(run("list", folder, "--json").stdout)["surveys"][0]["readings"] == 2
    assert "2 readings  A. Keeper" in run("list", folder).stdout


REFUSED = [
    (["new", "PLAN", "--kind", "dry", "--by", "me", "--room", "21"], "21 degC"),
    (["new", "nowhere", "--kind", "dry", "--by", "me"], "sunfleck new"),
    (["add", "PLAN", "at=1", "uvi=2,4", "with=club meter"], "2.4"),
    (["add", "PLAN", "at=1", "uvi"], "entry.word"),
    (["add", "PLAN", "at=1", "at=2"], "each key once"),
    (["add", "PLAN", "at=1", "--survey", "dri"], "no survey is called"),
    (["add", "nowhere", "at=1"], "survey new"),
    (["csv", "PLAN", "none.csv"], "file.unreadable"),
    (["csv", "PLAN", "CSV"], "CSV:2:3"),
    (["instrument", "PLAN", "name=m", "reads=uvi,air", "accuracy=1 K"], "survey.reads"),
    (["show", "PLAN", "other"], "no survey is called"),
]  # fmt: skip


@pytest.mark.parametrize(("words", "told"), REFUSED)
def test_refusals_say_what_to_do(folder, words, told):
    """Exit code 2, words on the error stream, the same as JSON; nothing is written."""
    (folder / "surveys").mkdir()
    file = folder / "surveys" / "2026-11-26-dry.yaml"
    file.write_text(SOUND, encoding="utf-8")
    (folder / "round.csv").write_text("at,uvi,with\n1,x,club meter\n", encoding="utf-8")
    words = [
        {"PLAN": folder, "CSV": folder / "round.csv", "nowhere": folder / "nowhere"}.get(w, w) for w in words
    ]
    told = told.replace("CSV", "round.csv")
    done = run(*words)
    assert done.exit_code == 2
    assert told in done.stderr
    as_json = json.loads(run(*words, "--json").stdout)
    assert as_json["exit_code"] == 2
    assert file.read_text(encoding="utf-8") == SOUND


def test_a_broken_survey_keeps_what_is_entered_and_says_so(folder):
    """Exit code 2 with the file's problems; the next command takes it in and tells."""
    (folder / "surveys").mkdir()
    file = folder / "surveys" / "2026-11-26-dry.yaml"
    file.write_text(SOUND[:-50], encoding="utf-8")
    done = run("add", folder, "at=1", "uvi=2.4", "with=club meter")
    assert done.exit_code == 2
    assert "1 entry is kept beside 2026-11-26-dry" in done.stdout
    assert "survey.cut-off" in done.stdout
    assert "entries wait" in run("list", folder).stdout
    assert run("show", folder).exit_code == 2
    file.write_text(SOUND, encoding="utf-8")
    done = run("list", folder)
    assert "1 entered in 2026-11-26-dry." in done.stderr
    assert "4 readings" in done.stdout


def test_a_plan_with_problems_does_not_keep_readings_out(folder):
    """Names are not looked up, and that is said."""
    (folder / "surveys").mkdir()
    (folder / "surveys" / "2026-11-26-dry.yaml").write_text(SOUND, encoding="utf-8")
    (folder / "plan.yaml").write_text("format: 1\n", encoding="utf-8")
    done = run("add", folder, "at=anywhere", "uvi=2.4", "with=club meter")
    assert done.exit_code == 0
    assert "not looked up" in done.stderr
