"""`sunfleck photometry`: text, JSON and a picture of a file; a broken one is refused in words."""

import json

from click.testing import CliRunner

from sunfleck.faces.cli import main

FILE = """\
IESNA:LM-63-2002
[TEST] a test
TILT=NONE
1 1000 1 7 1 1 2 -0.1 0 0
1 1 10
0 15 30 45 60 75 90
0
318.3 307.5 275.7 225.1 159.2 82.4 0
"""


def run(*words):
    return CliRunner().invoke(main, ["photometry", *words])


def test_a_file_is_told_and_drawn(tmp_path):
    """A Lambertian disc of 1,000 lm: its flux in text and JSON, a diagram on request."""
    file = tmp_path / "lamp.ies"
    file.write_text(FILE, encoding="latin-1")
    done = run(str(file), "--out", str(tmp_path / "pictures"), "--format", "png")
    assert done.exit_code == 0
    assert "1,000 lm" in done.output or "1000 lm" in done.output
    assert list((tmp_path / "pictures").glob("*.png"))
    plain = json.loads(run(str(file), "--json").output)
    assert plain["schema"] == 1


def test_a_broken_file_is_refused_in_words(tmp_path):
    """Every place that is wrong, exit code 2; so is a file that is not there."""
    file = tmp_path / "lamp.ies"
    file.write_text(FILE.replace("82.4 0", "82.4 x"), encoding="latin-1")
    done = run(str(file))
    assert done.exit_code == 2
    assert "Traceback" not in done.output
    assert json.loads(run(str(file), "--json").output)["exit_code"] == 2
    assert run(str(tmp_path / "none.ies")).exit_code == 2
    assert run(str(tmp_path)).exit_code == 2
