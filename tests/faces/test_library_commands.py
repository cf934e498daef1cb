"""The library on the command line: search, show, compare, check, where, sheet; own entries beside a plan."""

import json
import shutil

import pytest
from click.testing import CliRunner

from sunfleck.document.problem import PlanError
from sunfleck.faces.cli import main
from sunfleck.library.folders import CHOSEN
from sunfleck.library.loader import DATA
from sunfleck.plan.read import read_plan
from sunfleck.service.remedies import find_remedies
from sunfleck.service.starting import starter_text


def run(*words):
    return CliRunner().invoke(main, ["library", *words])


@pytest.fixture
def own(tmp_path, monkeypatch):
    """A user's folder with a lamp of their own, and a plan's folder beside it."""
    monkeypatch.setenv(CHOSEN, str(tmp_path / "mine"))
    lamps = tmp_path / "mine" / "lamps"
    lamps.mkdir(parents=True)
    text = (DATA / "lamps" / "uv-t5-54w-reflector.yaml").read_text(encoding="utf-8")
    (lamps / "attic-tube.yaml").write_text(text.replace("value: 2.75", "value: 2.2"), encoding="utf-8")
    folder = tmp_path / "plan"
    folder.mkdir()
    plan = starter_text("tall-planted").replace("lamp: uv-t5-54w-reflector", "lamp: attic-tube")
    (folder / "plan.yaml").write_text(plan, encoding="utf-8")
    return tmp_path


def test_search_finds_by_any_word_in_any_order():
    """Words of id, name, source or note; what has them in its name comes first."""
    done = run("search", "strong", "54")
    assert done.exit_code == 0
    assert "lamps/uv-t5-54w-strong-reflector" in done.output
    assert run("search", "54", "STRONG").output == done.output
    assert "animals/trioceros-jacksonii" in run("search", "Kenyan", "chameleons").output
    nothing = run("search", "xyzzy")
    assert nothing.exit_code == 3
    assert "Nothing found" in nothing.output


def test_show_tells_value_range_basis_source_and_conflict():
    """One entry in both systems of units, and as JSON."""
    text = run("show", "correlophus-ciliatus").output
    for words in ("crested gecko", "29 degC, shaded air", "[common practice]", "but: "):
        assert words in text, words
    assert "degF" in run("show", "correlophus-ciliatus", "--units", "us").output
    plain = json.loads(run("show", "lamps/uv-t5-54w-reflector", "--json").output)
    assert plain["values"]["uvi_reference"]["basis"] == "common practice"
    wrong = run("show", "pogona")
    assert wrong.exit_code == 2
    assert "did you mean pogona-vitticeps" in wrong.output


def test_compare_marks_what_differs():
    """Two tubes side by side; entries of two kinds are not compared."""
    text = run("compare", "uv-t5-54w-reflector", "uv-t5-54w-strong-reflector").output
    lines = {line[2:20].strip(): line for line in text.splitlines()}
    assert lines["uvi reference"].startswith("*")
    assert lines["input power"].startswith(" ")
    assert run("compare", "uv-t5-54w-reflector", "cork").exit_code == 2


def test_a_folder_of_ones_own_is_checked(own):
    """Sound, then with a value that has no source: file, field and what is missing, exit code 2."""
    assert run("check", str(own / "mine")).exit_code == 0
    file = own / "mine" / "lamps" / "attic-tube.yaml"
    file.write_text(file.read_text(encoding="utf-8") + "colour: {value: red}\n", encoding="utf-8")
    done = run("check", str(own / "mine"))
    assert done.exit_code == 2
    assert "lamps/attic-tube.yaml: colour" in done.output
    assert json.loads(run("check", str(own / "mine"), "--json").output)["faults"]
    assert run("check", str(own / "nowhere")).exit_code == 2


def test_own_entries_serve_plans_and_the_plans_own_stand_above(own):
    """A lamp of the user's folder is known in a plan; one of that id beside the plan takes its place."""
    assert run("where").output.strip() == str(own / "mine")
    plan = read_plan(own / "plan")
    assert plan.library.lamps["attic-tube"].uvi_reference.value == 2.2
    shutil.copytree(own / "mine", own / "plan" / "library")
    file = own / "plan" / "library" / "lamps" / "attic-tube.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("value: 2.2", "value: 1.9"), encoding="utf-8")
    assert read_plan(own / "plan").library.lamps["attic-tube"].uvi_reference.value == 1.9
    assert "attic-tube" in run("search", "attic", "--plan", str(own / "plan")).output


def test_a_fault_in_an_own_entry_is_a_problem_of_the_plan(own):
    """Named with its file; nothing is computed, nothing is traced back."""
    (own / "mine" / "lamps" / "attic-tube.yaml").write_text("name: x\n", encoding="utf-8")
    with pytest.raises(PlanError) as caught:
        read_plan(own / "plan")
    assert {problem.rule for problem in caught.value.problems} == {"library.own-entry"}
    assert "lamps/attic-tube.yaml" in str(caught.value)


def test_a_sheet_is_a_pdf_and_the_same_every_time(tmp_path):
    """Whole or not there; the same entry gives the same bytes."""
    files = [tmp_path / "one.pdf", tmp_path / "two.pdf"]
    for file in files:
        assert run("sheet", "pogona-vitticeps", "--out", str(file)).exit_code == 0
    first, second = (file.read_bytes() for file in files)
    assert first.startswith(b"%PDF")
    assert first == second
    assert run("sheet", "pogona-vitticeps", "--out", str(tmp_path / "no" / "where.pdf")).exit_code == 2
    assert sorted(tmp_path.iterdir()) == sorted(files)


def test_a_users_folder_that_is_not_there_is_no_silent_loss(monkeypatch, tmp_path):
    """A mistyped folder (regression): refused in words, not taken for an empty one."""
    monkeypatch.setenv(CHOSEN, str(tmp_path / "mispelt"))
    done = run("search", "tube")
    assert done.exit_code == 2
    assert "is no folder" in done.output


def test_remedies_know_the_plans_own_lamps(own):
    """A lamp of one's own in the plan (regression): its remedies are tried with it, not refused as unknown."""
    _, found = find_remedies(read_plan(own / "plan"), "uv-floor:the-basilisk", light=True)
    assert all(one.tried > 0 for one in found)
    done = CliRunner().invoke(
        main, ["remedies", str(own / "plan"), "--light", "--of", "uv-floor:the-basilisk"]
    )
    assert done.exit_code in (0, 1, 3)
    assert "no room" not in done.output
