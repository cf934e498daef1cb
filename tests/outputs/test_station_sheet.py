"""The sheet of stations: every number drawn once in both views, words that fit, the same bytes every time."""

import re
from dataclasses import replace

import numpy as np
import pytest
import yaml

from sunfleck.outputs import station_sheet as sheet
from sunfleck.outputs.station_words import expected_words, stations_text, yaml_lines
from sunfleck.service.resolved import resolved
from sunfleck.studies.interreflection import QUICK
from sunfleck.studies.left_open import CAUTIONS
from sunfleck.studies.meter.prospect import Expected
from sunfleck.studies.meter.sheet_views import sheet_views
from sunfleck.studies.meter.stations import propose


@pytest.fixture(scope="module")
def proposed(tall, wholes):
    """Stations of the tall example with its climate, and both views."""
    assert wholes
    ready = resolved(tall)
    plan = propose(ready.brief, ready.interior(QUICK), climate=ready.climate)
    return plan, sheet_views(ready.brief, plan)


def pages_of(plan, views, *, blind=False):
    with sheet.drawing_settings():
        return sheet._Sheet(plan, views, "stated", blind=blind).pages()


def words_on(pages):
    return [text for page in pages for text in page.texts]


def test_a_sheet_is_the_same_every_time(proposed):
    """One PDF, a picture a page, the same bytes twice."""
    plan, views = proposed
    (pdf,) = sheet.station_sheet(plan, views, "pdf", "stated")
    assert pdf.startswith(b"%PDF")
    assert (pdf,) == sheet.station_sheet(plan, views, "pdf", "stated")
    pictures = sheet.station_sheet(plan, views, "png", "stated")
    assert all(each.startswith(b"\x89PNG") for each in pictures)
    assert len(pictures) == len(pages_of(plan, views))


def test_every_station_is_in_both_drawings_and_in_the_table(proposed):
    """A dot where it is, its number beside it, no number on another; and a row of the table."""
    plan, views = proposed
    pages = pages_of(plan, views)
    numbers = [f"{station.number}" for station in plan.stations]
    for ax, view in zip(pages[0].axes, views, strict=True):
        badges = [text for text in ax.texts if text.get_text() in numbers and text.get_fontweight() == "bold"]
        assert sorted(text.get_text() for text in badges) == sorted(numbers)
        at = ax.transData.transform(np.array([text.get_position() for text in badges]))
        apart = np.linalg.norm(at[:, None] - at, axis=2) + 1e6 * np.eye(len(at))
        assert apart.min() >= 2 * 8.0 * pages[0].dpi / 72 - 1.0, "discs of 16 pt across lie on one another"
        dots = np.array([line.get_xydata()[0] for line in ax.lines if len(line.get_xydata()) == 1])
        for _, place in view.marks:
            assert np.abs(dots - place).max(axis=1).min() < 1e-9
    rows = [text.get_text() for text in words_on(pages)]
    assert all(number in rows for number in numbers)


@pytest.mark.parametrize("system", ["metric", "us"])
def test_nothing_is_cut_off(proposed, system):
    """Every word of the page lies on the paper, and in the table left of the next column."""
    plan, views = proposed
    pages = pages_of(replace(plan, system=system), views)
    for page in pages:
        renderer = page.canvas.get_renderer()
        width, height = page.bbox.width, page.bbox.height
        columns = [
            (sheet.MARGIN + share * (width / page.dpi - 2 * sheet.MARGIN)) * page.dpi
            for share in sheet.COLUMNS
        ]
        for text in page.texts:
            box = text.get_window_extent(renderer)
            assert box.x0 >= 0
            assert box.x1 <= width - 0.3 * sheet.MARGIN * page.dpi, text.get_text()
            assert 0 <= box.y0 <= box.y1 <= height
            if page is not pages[0]:
                start = text.get_position()[0] * width
                own = [k for k, column in enumerate(columns) if abs(start - column - 0.05 * page.dpi) < 1.0]
                if own and own[0] + 1 < len(columns):
                    assert box.x1 <= columns[own[0] + 1] + 1.0, f"{text.get_text()} runs into the next column"


def test_blind_shows_no_expected_value(proposed):
    """Neither on the sheet, nor in words, nor as data; and both with them otherwise."""
    plan, views = proposed
    uv = next(each for station in plan.stations for each in station.expected if each.what == "uvi")
    shown = expected_words(uv, plan.system)
    for blind in (False, True):
        words = " ".join(text.get_text() for text in words_on(pages_of(plan, views, blind=blind)))
        assert (shown in words) is not blind
        assert (shown in stations_text(plan, blind=blind)) is not blind
        assert all(("expected" in each) is not blind for each in plan.to_dict(blind=blind)["stations"])


def test_cautions_and_head_are_on_the_first_page(proposed):
    """House words of UV, heat and mains; name, date, by, meters, warm-up, room."""
    plan, views = proposed
    words = " ".join(text.get_text() for text in pages_of(plan, views)[0].texts).replace("\u00a0", " ")
    for told in (*CAUTIONS[:3], "Stairwell basilisk"):
        assert told in words
    for field in ("date", "by", "UV meter", "lux meter", "lamps on since", "room", "thermometer"):
        assert field in words


def test_many_stations_go_on_on_the_next_page(proposed):
    """Thirty stations with long names: all rows, none below the foot."""
    plan, views = proposed
    long = "a limb with a name that a careful keeper gave it for very good reasons, 59 cm from its right end"
    many = [replace(plan.stations[k % 6], number=k + 1, place=long) for k in range(30)]
    pages = pages_of(replace(plan, stations=tuple(many), plan="x" * 90), views)
    assert len(pages) > 2
    rows = {text.get_text() for text in words_on(pages)}
    assert {f"{k + 1}" for k in range(30)} <= rows
    assert min(text.get_position()[1] for text in words_on(pages)) > 0


@pytest.mark.parametrize("system", ["metric", "us"])
def test_what_is_pasted_is_yaml_in_the_users_units(proposed, system):
    """Names, three lengths with a unit each and within half a mark of the place, how it is held, a note."""
    plan, _ = proposed
    lines = "\n".join(yaml_lines(replace(plan, system=system)))
    pasted = yaml.safe_load(lines)["stations"]
    unit, metre = ("cm", 0.01) if system == "metric" else ("in", 0.0254)
    for entry, station in zip(pasted, plan.stations, strict=True):
        assert set(entry) == {"name", "at", "hold", "note"}
        assert entry["name"] == station.name
        for words, value in zip(entry["at"], station.at, strict=True):
            number = re.fullmatch(rf"([\d.]+) {unit}", words)
            assert number, words
            assert float(number.group(1)) * metre == pytest.approx(value, abs=0.0002)


def test_digits_are_what_a_meter_shows():
    """UV index to 0.1, brightness to two digits, temperature to a degree of the user."""
    assert expected_words(Expected("uvi", "UVI", 1.234, 1.567, 1.95), "metric") == "1.6 (1.2 to 1.9)"
    assert expected_words(Expected("lux", "lux", 412.0, 5499.8, 10424.0), "metric") == "5,500 (410 to 10,000)"
    assert (
        expected_words(Expected("air", "K", 291.15, 292.6, 293.9, "in winter"), "metric")
        == "in winter 19 (18 to 21)"
    )
    assert (
        expected_words(Expected("air", "K", 291.15, 292.6, 293.9, "in winter"), "us")
        == "in winter 67 (64 to 69)"
    )
