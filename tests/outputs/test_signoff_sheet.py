"""The sign-off sheet: what must stand on it, never signed while points are open, words that fit."""

from dataclasses import replace

import pytest

from sunfleck.outputs import paper
from sunfleck.outputs import signoff_sheet as sheet
from sunfleck.outputs.meter_words import CAUTIONS
from sunfleck.studies.meter.hold_points import hold_points
from sunfleck.studies.meter.report import MeterReport
from sunfleck.studies.meter.slips import Slip


@pytest.fixture(scope="module")
def ended(weak_round, reports):
    """The round of a weak tube as a report on its light, one of its readings taken as one that cannot be right."""
    found = weak_round.calibration
    compared = (replace(found.compared[0], odd=True), *found.compared[1:])
    return MeterReport(
        plan="Stairwell basilisk",
        surveys=weak_round.used,
        too_old=("2025-01-01-final",),
        kind="dry",
        calibration=replace(found, compared=compared),
        slips={compared[0]: (Slip("decimal point", "a decimal point: was it 0.1?", 0.1),)},
        report=weak_round.report,
        before=reports["tall"],
        lamps=(),
        due=(),
        next_reading=("upright, 19 cm from its lower end",),
        hold_points=hold_points(weak_round.brief, weak_round.surveys),
    )


def pages_of(report, surveys, system="metric"):
    with sheet.drawing_settings():
        return sheet._Sheet(report, tuple(surveys), system).pages()


def words_on(pages):
    joined = " ".join(text.get_text() for page in pages for text in page.texts)
    return " ".join(joined.replace("\u00a0", " ").split())


def settled(report):
    """The same with everything done and met."""
    done = tuple(replace(p, by="A. Keeper", date="2026-11-26") for p in report.hold_points)
    checked = replace(
        report.report, verdicts=tuple(replace(v, state="meets") for v in report.report.verdicts)
    )
    right = tuple(replace(each, odd=False) for each in report.calibration.compared)
    return replace(
        report, hold_points=done, report=checked, calibration=replace(report.calibration, compared=right)
    )


def test_it_holds_what_was_read_and_what_is_open(ended, weak_round):
    """Head, instruments, readings, lamps, verdicts, hold points, what was not checked, cautions, two signatures."""
    words = words_on(pages_of(ended, weak_round.surveys))
    for each in (
        "Open points remain",
        "2026-11-26",
        "dry, before planting",
        "A. Keeper",
        "club meter",
        "10 %",
        "2026-03-01",
        "less 0.3 K",
        "2025-01-01-final",
        "CANNOT BE RIGHT",
        "was it 0.1?",
        "not used: lamps had not been on",
        "UV index of uv tube: 0.",
        "weaker than expected",
        "target met",
        "safe",
        "within the travel of the brackets",
        "B. Builder",
        "sealant cured",
        "What was NOT checked",
        "measured by",
        "takes over",
        f"library {ended.report.library_hash[:12]}",
        f"Sunfleck {ended.report.version}",
        "page 1 of",
    ):
        assert each in words, each
    for point in ended.hold_points:
        assert point.what in words
    for told in (*ended.report.not_checked, *CAUTIONS):
        # Lines are broken at spaces, and an id in one piece may be parted.
        assert told.split(":")[0].split("(")[0].strip() in words
    assert "Ready to be signed" not in words
    assert "▲" in words
    assert "●" in words


def test_it_is_ready_only_without_open_points(ended, weak_round):
    """One hold point, one verdict, one reading, or nothing read at all: each keeps it open."""
    ready = settled(ended)
    assert ready.open_points == ()
    words = words_on(pages_of(ready, weak_round.surveys))
    assert "Ready to be signed" in words
    assert "Open points remain" not in words
    unread = tuple(replace(each, left_out="no light") for each in ready.calibration.compared)
    for spoilt in (
        replace(ready, hold_points=(replace(ready.hold_points[0], by=""), *ready.hold_points[1:])),
        replace(ready, report=ended.report),
        replace(ready, calibration=ended.calibration),
        replace(ready, calibration=replace(ready.calibration, compared=unread)),
        replace(ready, calibration=replace(ready.calibration, compared=())),
    ):
        assert spoilt.open_points
        words = words_on(pages_of(spoilt, weak_round.surveys))
        assert "Open points remain" in words
        assert "Ready to be signed" not in words


@pytest.mark.parametrize("system", ["metric", "us"])
def test_no_word_leaves_the_page_or_lies_on_another(ended, weak_round, system):
    """Ends of all lines as matplotlib sets them, on A4 and letter, with a long name and a long remark."""
    long = replace(
        ended,
        plan="A box with quite a long name that somebody gave it " * 3,
        hold_points=tuple(
            replace(p, by="Bartholomew-Maximilian Oberhuber-Schattenfroh 李\n\t小龙")
            for p in ended.hold_points
        ),
    )
    pages = pages_of(long, weak_round.surveys, system)
    assert tuple(pages[0].get_size_inches()) == paper.PAPERS[system]
    for page in pages:
        renderer = page.canvas.get_renderer()
        width, height = page.bbox.size
        edge = 0.9 * paper.MARGIN * page.dpi
        with sheet.drawing_settings():
            boxes = [
                (text, text.get_window_extent(renderer)) for text in page.texts if text.get_text().strip()
            ]
        for text, box in boxes:
            assert edge <= box.x0, text.get_text()
            assert box.x1 <= width - edge, text.get_text()
            assert 0.5 * edge <= box.y0, text.get_text()
            assert box.y1 <= height - 0.5 * edge, text.get_text()
            assert text.get_fontsize() >= 7.5
        for k, (one, a) in enumerate(boxes):
            for other, b in boxes[k + 1 :]:
                across = min(a.x1, b.x1) - max(a.x0, b.x0)
                # Ascenders may touch descenders of the line above.
                up = min(a.y1, b.y1) - max(a.y0, b.y0)
                assert across < 1.0 or up < 0.35 * min(a.height, b.height), (one.get_text(), other.get_text())


def test_it_is_the_same_every_time(ended, weak_round):
    """One PDF, a picture a page, the same bytes twice."""
    (pdf,) = sheet.signoff_sheet(ended, weak_round.surveys, "metric", "pdf")
    assert pdf.startswith(b"%PDF")
    assert (pdf,) == sheet.signoff_sheet(ended, weak_round.surveys, "metric", "pdf")
    pages = pages_of(ended, weak_round.surveys)
    assert pdf.count(b"/Type /Page ") == len(pages)
    (picture,) = paper.files_of(pages[-1:], "png", "the last page")
    assert picture.startswith(b"\x89PNG")


def test_lines_are_broken_where_type_ends():
    """A number keeps its unit; a word that is too long is parted rather than cut off."""
    pytest.importorskip("matplotlib")
    lines = paper.broken("hang it 30 cm above an extraordinarilylongwordindeed", 8.0, 0.9)
    assert all(paper.width_of(line, 8.0) <= 0.9 for line in lines)
    assert any("30\u00a0cm" in line for line in lines)
    assert "".join(lines).replace("\u00a0", "").replace(" ", "").endswith("extraordinarilylongwordindeed")
