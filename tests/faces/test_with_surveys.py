"""`--surveys` and `--sheet` as a user tries them, and options that would do nothing."""

import pytest
from click.testing import CliRunner

from sunfleck.faces.cli import main
from sunfleck.service.starting import starter_text


def run(*args):
    return CliRunner().invoke(main, [str(arg) for arg in args])


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """A folder with the tall plan and no survey."""
    folder = tmp_path_factory.mktemp("box")
    (folder / "plan.yaml").write_text(starter_text("tall-planted"), encoding="utf-8")
    return folder


@pytest.mark.parametrize(
    "command",
    [
        ["check"],
        ["check", "--light"],
        ["climate"],
        ["climate", "--charts"],
        ["map"],
        ["explain", "uv-floor:the-basilisk"],
        ["calibrate"],
    ],
)
def test_without_surveys_it_says_so(folder, command):
    """A refusal with what begins one, exit code 2; nothing is computed."""
    verb, *rest = command
    options = [] if verb == "calibrate" else ["--surveys"]
    done = run(verb, folder, *rest, *options)
    assert done.exit_code == 2
    assert "there is no survey beside" in done.output
    assert "sunfleck survey new" in done.output
    assert done.exception is None or isinstance(done.exception, SystemExit)


def test_surveys_without_a_reading_are_no_readings(tmp_path):
    """A survey that was only begun changes nothing; the refusal says what enters a reading."""
    (tmp_path / "surveys").mkdir()
    (tmp_path / "plan.yaml").write_text(starter_text("tall-planted"), encoding="utf-8")
    begun = "survey: 1\ndate: 2026-11-26\nkind: dry\nby: A\ninstruments:\nreadings:\nend: true\n"
    (tmp_path / "surveys" / "2026-11-26-dry.yaml").write_text(begun, encoding="utf-8")
    done = run("check", tmp_path, "--surveys")
    assert done.exit_code == 2
    assert "has a reading yet; `sunfleck survey add` enters one" in done.output


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (["climate", "--out", "x"], "--out does nothing without --charts; add --charts to draw"),
        (["climate", "--format", "png", "--dark"], "--format, --dark do nothing without --charts"),
        (["climate", "--charts", "--json"], "--json does nothing with --charts"),
        (["climate", "--charts", "--more"], "--more does nothing with --charts"),
        (["map", "--sheet", "--dark"], "--dark does nothing with --sheet"),
        (["map", "--sheet", "--day", "--surveys"], "--day, --surveys do nothing with --sheet"),
        (["map", "--sheet", "--format", "svg"], "--format does nothing with --sheet"),
        (["calibrate", "--sheet", "sheet.docx"], "a sheet ends in .pdf or .png; got 'sheet.docx'"),
    ],
)
def test_options_that_would_do_nothing_are_refused(folder, command, words):
    """Which, when, and what to do instead; exit code 2, no traceback."""
    verb, *rest = command
    done = run(verb, folder, *rest)
    assert done.exit_code == 2
    assert words in done.output
    assert done.exception is None or isinstance(done.exception, SystemExit)
