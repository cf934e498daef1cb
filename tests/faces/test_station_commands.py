"""`sunfleck stations` as a user tries it, with wrong input as well."""

import json

import pytest
import yaml
from click.testing import CliRunner

from sunfleck.faces.cli import main
from sunfleck.service.starting import starter_text


def run(*args):
    return CliRunner().invoke(main, [str(arg) for arg in args])


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder with the arid plan."""
    folder = tmp_path_factory.mktemp("box")
    (folder / "plan.yaml").write_text(starter_text("arid"), encoding="utf-8")
    return folder


def test_stations_in_words_with_lines_to_paste_and_a_sheet(folder):
    """Numbered places, what is expected, how ranges narrow, cautions; the block at the end is YAML."""
    done = run("stations", folder, "--light", "--sheet", folder / "out" / "sheet.pdf")
    assert done.exit_code == 0, done.output
    for words in ("STATIONS", "through sliding pane", "UV index", "after 1-2:", "CAUTIONS", "nine of ten"):
        assert words in done.output
    block = done.output[done.output.index("stations:\n") :].partition("Wrote")[0]
    assert len(yaml.safe_load(block)["stations"]) >= 6
    assert (folder / "out" / "sheet.pdf").read_bytes().startswith(b"%PDF")


def test_json_carries_what_is_read_and_blind_hides_what_is_expected(folder):
    """A program gets places in metres; with --blind nothing that is expected."""
    plain = json.loads(run("stations", folder, "--light", "--count", "2", "--json", "--blind").output)
    assert plain["schema"] == 1
    assert plain["blind"] is True
    assert sum("uvi" in station["read"] for station in plain["stations"]) == 2
    assert not any("expected" in station for station in plain["stations"])
    assert all(len(station["at_m"]) == 3 for station in plain["stations"])


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--count", "0"], "0 is not in the range"),
        (["--sheet", "sheet.docx"], "a sheet ends in .pdf or .png; got 'sheet.docx'"),
    ],
)
def test_wrong_input_is_refused_in_words(folder, options, words):
    """No traceback; exit code 2."""
    done = run("stations", folder, "--light", *options)
    assert done.exit_code == 2
    assert words in done.output
    assert done.exception is None or isinstance(done.exception, SystemExit)
