"""`sunfleck map --sheet`: one PDF with pictures and verdicts, the same every time."""

from click.testing import CliRunner

from sunfleck.faces.cli import main
from sunfleck.outputs.verdict_words import sheet_words
from sunfleck.service import drawing
from sunfleck.service.starting import starter_text


def test_a_sheet_is_one_pdf_and_the_same_every_time(tmp_path):
    """A file a channel, whole or not there; the same plan gives the same bytes."""
    (tmp_path / "plan.yaml").write_text(starter_text("arid"), encoding="utf-8")
    sheets = []
    for folder in ("one", "two"):
        done = CliRunner().invoke(main, ["map", str(tmp_path), "--sheet", "--out", str(tmp_path / folder)])
        assert done.exit_code == 0, done.output
        (sheet,) = (tmp_path / folder).iterdir()
        assert sheet.name == "uvi-sheet.pdf"
        sheets.append(sheet.read_bytes())
    assert sheets[0].startswith(b"%PDF")
    assert sheets[0] == sheets[1]


def test_every_verdict_is_a_paragraph(reports):
    """Sign, whose, what, range, target and place."""
    words = [line for verdict in reports["tall"].verdicts for line in sheet_words(verdict, "metric")]
    assert len(words) == len(reports["tall"].verdicts)
    assert any(
        line.startswith("[+] over the basilisk, strongest UV index") and "expected 2." in line
        for line in words
    )


def test_a_sheet_says_that_nobody_accepted_the_targets(monkeypatch, tmp_path, tall):
    """An unaccepted profile is told first, on paper as on the page; what is wrong comes before what meets."""
    told = []
    monkeypatch.setattr(
        drawing, "write_plan_sheet", lambda maps, folder, system, words, stated: told.extend(words)
    )
    drawing.draw_sheet(tall, tmp_path, "uvi")
    assert "NOT ACCEPTED" in told[0]
    assert told[1].startswith("[+] over")
