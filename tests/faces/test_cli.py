"""The commands as a new user tries them, with wrong input as well."""

import json
import subprocess
import sys

import jsonschema
import pytest
import yaml
from click.testing import CliRunner

from oracles.surveys import SOUND
from sunfleck.document.reader import read_document
from sunfleck.faces.cli import main


def run(*args):
    return CliRunner().invoke(main, [str(arg) for arg in args])


@pytest.fixture
def folder(tmp_path):
    """A folder with a fresh arid plan."""
    assert run("new", tmp_path / "box", "--example", "arid").exit_code == 0
    return tmp_path / "box"


def test_new_then_check_gives_verdicts(folder):
    """A plan that was just written is checked without problems; the text names verdicts and what is open."""
    done = run("check", folder)
    assert done.exit_code in (0, 1, 3), done.output
    for word in (
        "TARGETS",
        "NOT CHECKED",
        "CAUTIONS",
        "UV index at the basking place",
        "expected",
        "could be",
    ):
        assert word in done.output


def test_new_does_not_overwrite(folder):
    """A second `new` leaves the plan as it is and says so."""
    before = (folder / "plan.yaml").read_text()
    again = run("new", folder)
    assert again.exit_code == 2
    assert "exists already" in again.output
    assert (folder / "plan.yaml").read_text() == before


def test_new_locks_the_plan_to_the_library(folder):
    """The written plan carries the library's hash."""
    from sunfleck.library.loader import load_library

    assert yaml.safe_load((folder / "plan.yaml").read_text())["library"]["hash"] == load_library().hash


def test_json_has_a_schema_number_and_the_exit_code(folder):
    """A program can read verdicts, numbers with ids and the exit code."""
    done = run("check", folder, "--json")
    plain = json.loads(done.output)
    assert plain["schema"] == 1
    assert plain["exit_code"] == done.exit_code
    assert {verdict["state"] for verdict in plain["verdicts"]} <= {"meets", "short", "over", "unknown"}


def test_explain_shows_a_chain_that_multiplies_out(folder):
    """The id comes from the JSON, the chain ends in sources."""
    plain = json.loads(run("check", folder, "--json").output)
    verdict = next(verdict for verdict in plain["verdicts"] if verdict["id"].startswith("uv-floor"))
    id_ = verdict["numbers"]["expected"]["id"]
    assert run("explain", folder, verdict["id"]).output == run("explain", folder, id_).output
    done = run("explain", folder, id_)
    assert done.exit_code == 0
    assert "multiplies out" in done.output
    chain = json.loads(run("explain", folder, id_, "--json").output)
    assert chain["trace"]["parts"]


def test_map_writes_pictures(folder):
    """PNG and SVG in a folder beside the plan."""
    done = run("map", folder, "--channel", "uvi")
    assert done.exit_code == 0, done.output
    kinds = {file.suffix for file in (folder / "maps").iterdir()}
    assert kinds == {".png", ".svg"}


def test_the_schema_of_surveys_accepts_one():
    """As an editor checks it."""
    schema = json.loads(run("schema", "--of", "survey").output)
    jsonschema.Draft202012Validator.check_schema(schema)
    survey = read_document(SOUND).data
    for plain in (survey, {**survey, "readings": None}):
        jsonschema.validate(plain, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**survey, "end": False}, schema)


def test_the_schema_accepts_the_examples_and_refuses_a_bare_number(folder):
    """An editor with the printed JSON Schema flags what `check` would flag."""
    schema = json.loads(run("schema").output)
    plan = yaml.safe_load((folder / "plan.yaml").read_text())
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(plan, schema)
    plan["enclosure"]["inside"]["width"] = 120
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(plan, schema)


@pytest.mark.parametrize("as_json", [False, True])
def test_problems_have_exit_code_2(folder, as_json):
    """Wrong input: every problem, nothing computed, exit code 2."""
    file = folder / "plan.yaml"
    file.write_text(file.read_text().replace("depth: 70 cm", "depth: 70").replace("oak", "oka"))
    done = run("check", folder, *(["--json"] if as_json else []))
    assert done.exit_code == 2
    if as_json:
        rules = {problem["rule"] for problem in json.loads(done.output)["problems"]}
        assert "schema.unit" in rules
    else:
        assert "nothing was computed" in done.output


@pytest.mark.parametrize(
    "args",
    [
        ("check", "nowhere"),
        ("explain", "nowhere", "x"),
        ("map", "nowhere"),
        ("new", "/proc/x/y"),
    ],
)
def test_what_is_not_there_is_said_in_a_line(args):
    """No traceback for a path that cannot be read or written."""
    done = run(*args)
    assert done.exit_code == 2
    assert "Traceback" not in done.output
    assert not isinstance(done.exception, (OSError, ValueError))


def test_explain_of_an_unknown_id_names_the_nearest(folder):
    """A typing slip is answered with the id that was meant."""
    done = run("explain", folder, "uv-floor:the-dragon.expectd")
    assert done.exit_code == 2
    assert "uv-floor:the-dragon.expected" in done.output


def test_help_loads_no_numpy():
    """`--help` answers at once: neither numpy nor pydantic is imported."""
    code = (
        "import sys\nfrom sunfleck.faces.cli import main\n"
        "try:\n    main(['--help'])\nexcept SystemExit:\n    pass\n"
        "heavy = {'numpy', 'numba', 'scipy', 'pydantic', 'matplotlib'} & set(sys.modules)\n"
        "sys.exit(repr(heavy) if heavy else 0)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert "check" in done.stdout


def test_watts_books_every_lamp(folder):
    """Text for people, and JSON whose parts add up to each lamp's output."""
    text = run("watts", folder).output
    assert "left flood: " in text
    assert "out of the box" in text
    lamps = json.loads(run("watts", folder, "--channel", "uvi", "--json").output)["lamps"]
    assert [lamp["fixture"] for lamp in lamps] == ["front uv tube", "rear uv tube"]
    for lamp in lamps:
        parts = [
            *lamp["taken_up"].values(),
            *lamp["kept_by_sheets"].values(),
            lamp["on_lamps"],
            lamp["outside"],
        ]
        assert sum(parts) == pytest.approx(lamp["output"], rel=1e-9)


def test_watts_refuses_what_check_refuses(folder):
    """The same sentence and exit code 2 for a plan that is not there."""
    assert run("watts", folder / "nowhere.yaml").exit_code == 2
