"""Promises of the climate's charts: complete, named in words, in the plan's units, and nothing over anything else."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from sunfleck.errors import DomainError, SunfleckError
from sunfleck.faces.cli import main
from sunfleck.outputs import drawing_library
from sunfleck.outputs.chart_words import spread
from sunfleck.outputs.climate_charts import write_climate_charts
from sunfleck.outputs.climate_styles import degrees
from sunfleck.outputs.day_chart import day_page
from sunfleck.outputs.drawing_library import drawing_settings
from sunfleck.outputs.page import DOTS, WIDTH
from sunfleck.outputs.themes import DARK, LIGHT
from sunfleck.outputs.year_chart import year_page
from sunfleck.plan.read import read_plan
from sunfleck.service.charts import draw_charts
from sunfleck.service.starting import write_new_plan
from sunfleck.studies.climate.courses import Band, DayCourse, YearCourse
from sunfleck.studies.climate.seasons import Hours
from sunfleck.units import format_quantity

SVG = "{http://www.w3.org/2000/svg}"
TARIFF = "  tariff: {per_kwh: 0.31, currency: EUR}\n  latitude"
STEMS = ["day-winter-the-dragon", "day-summer-the-dragon", "year-the-dragon"]


def words_of(file: Path) -> list[str]:
    """Every text of an SVG, as a search in a viewer finds it."""
    tree = ElementTree.parse(file)
    return ["".join(each.itertext()).strip() for each in tree.iter(f"{SVG}text")]


@pytest.fixture(scope="module")
def drawn(tmp_path_factory):
    """The arid example with a tariff, drawn once: files, and the courses that were drawn."""
    folder = tmp_path_factory.mktemp("arid")
    file = write_new_plan(folder / "box", "arid")
    file.write_text(file.read_text().replace("  latitude", TARIFF, 1))
    found = {}

    def keep(days, years, *rest, **named):
        found.update(days=days, years=years)
        return write_climate_charts(days, years, *rest, **named)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sunfleck.service.charts.write_climate_charts", keep)
        files = draw_charts(read_plan(file), folder / "deep" / "charts", ("png", "svg"), dark=False)
    return files, found["days"], found["years"]


@pytest.fixture(scope="module")
def files(drawn) -> tuple[Path, ...]:
    return drawn[0]


@pytest.fixture(scope="module")
def days(drawn) -> list[DayCourse]:
    return drawn[1]


@pytest.fixture(scope="module")
def year(drawn) -> YearCourse:
    return drawn[2][0]


def page_of(course, system="metric", theme=LIGHT):
    """A finished page, drawn, so that its words have a place."""
    with drawing_settings():
        draw = day_page if isinstance(course, DayCourse) else year_page
        figure = draw(course, system, theme)
        figure.canvas.draw()
    return figure


def texts_of(figure):
    """Every visible word of a page with its box in pixels, and itself."""
    from matplotlib.text import Text

    renderer = figure.canvas.get_renderer()
    off = {
        id(text)
        for ax in figure.axes
        if not ax.axison
        for axis in (ax.xaxis, ax.yaxis)
        for text in axis.findobj(Text)
    }
    found = [t for t in figure.findobj(Text) if t.get_visible() and t.get_text().strip() and id(t) not in off]
    return [(text.get_text(), text.get_window_extent(renderer), text) for text in found]


def assert_readable(figure):
    """No word over another, none cut off by the page; nothing drawn is NaN."""
    width, height = figure.get_size_inches() * figure.dpi
    texts = texts_of(figure)
    for k, (words, box, one) in enumerate(texts):
        assert min(box.x0, box.y0, width - box.x1, height - box.y1) >= 0, f"{words} is cut off"
        for others, other, another in texts[k + 1 :]:
            across = min(box.x1, other.x1) - max(box.x0, other.x0)
            up = min(box.y1, other.y1) - max(box.y0, other.y0)
            # Boxes hold ascenders and descenders that a word may not have.
            spare = (5.0, 1.0) if one.get_rotation() and another.get_rotation() else (1.0, 5.0)
            assert across < spare[0] or up < spare[1], f"{words!r} and {others!r} lie over each other"
    for ax in figure.axes:
        for line in ax.lines:
            assert np.isfinite(np.asarray(line.get_ydata(), dtype=float)).all()
        assert np.isfinite([*ax.get_xlim(), *ax.get_ylim()]).all()


def test_a_chart_a_season_and_one_of_the_year_in_each_format(files):
    """The files that are named exist, in order, in a folder made for them, and nothing else is left there."""
    assert [file.name for file in files] == [f"{stem}.{kind}" for stem in STEMS for kind in ("png", "svg")]
    assert sorted(files[0].parent.iterdir()) == sorted(files)
    for file in files[::2]:
        with Image.open(file) as picture:
            assert picture.width == round(WIDTH * DOTS)
            assert picture.convert("RGB").getpixel((2, 2)) == (0xFB, 0xFA, 0xF6)


def test_dark_charts_stand_beside_the_light_ones_with_the_same_words(files, days, year, tmp_path):
    """Names of their own, a dark ground, the same words; the same courses give the same bytes."""
    dark = write_climate_charts(days, [year], tmp_path, dark=True)
    assert [file.stem for file in dark[::2]] == [f"{stem}-dark" for stem in STEMS]
    with Image.open(dark[0]) as picture:
        assert max(picture.convert("RGB").getpixel((2, 2))) < 40
    for one, other in zip(dark[1::2], files[1::2], strict=True):
        assert words_of(one) == words_of(other)
    again = write_climate_charts(days, [year], tmp_path)
    for one, other in zip(again, files, strict=True):
        assert one.read_bytes() == other.read_bytes(), one.name


def test_every_line_is_named_in_words(files):
    """Heights, room, bands with their ends, basking surface with its range, and every lamp are text."""
    winter = words_of(files[1])
    told = " ".join(winter)
    for words in ("85 cm, top", "45 cm, middle", "5 cm, its lowest", "21 cm, its highest", "room"):
        assert words in winter
    for words in ("cool end 22–26", "night 13–21", "38–42", "basking", "front uv tube", "right flood"):
        assert words in told
    assert "shaded air and basking surface, degC" in winter
    assert "the dragon: air in winter" in winter
    assert {"00:00", "12:00", "24:00", "at most 100 %"} <= set(winter)
    # Each height twice below its bars: by day and by night.
    assert winter.count("85 cm") == 2
    whole = words_of(files[5])
    assert {"warm end", "cool end", "night", "room by day", "Jan", "Dec"} <= set(whole)
    assert any("EUR a month, at 0.31 a kWh" in words for words in whole)
    for name in ("warm end", "cool end", "night"):
        assert sum(words.startswith(name) for words in whole) >= 2, "the line and its band"


def test_what_is_drawn_is_what_the_report_says(days, year):
    """The course by day has the middle of its bar as mean; the year's ends are its extremes; cost is energy by price."""
    for day in days:
        minutes = day.hours.minutes("day")
        for air in day.airs:
            assert air.day.low < air.day.expected < air.day.high
            mean = air.air[minutes].mean()
            assert air.day.low < mean < air.day.high
            # Right under the lamps the middle of the worlds lies farthest from the day as written.
            assert mean == pytest.approx(air.day.expected, abs=1.5 if air.name == "top" else 1.0)
        assert day.spot.low < day.spot.expected < day.spot.high
        assert [band.name for band in day.bands] == ["warm end", "cool end", "night", "basking spot"]
    assert (year.warm >= year.cool).all()
    assert np.argmax(year.room) == 6
    assert year.cost == pytest.approx(0.31 * year.energy)
    summer, hottest = days[1], int(np.argmax(year.warm))
    assert abs(year.warm[hottest] - summer.airs[-1].day.expected) < 1.5


def test_us_units(days, year, tmp_path):
    """Degrees Fahrenheit and inches; no degree Celsius is left."""
    files = write_climate_charts(days[:1], [year], tmp_path, ["svg"], "us")
    day, whole = (words_of(file) for file in files)
    assert "shaded air and basking surface, degF" in day
    assert "33.5 in, top" in day
    assert "night 55–71" in day
    assert "shaded air where it can rest, degF" in whole
    assert not any("degC" in words or " cm" in words for words in (*day, *whole))


@pytest.mark.parametrize("system", ["metric", "us"])
def test_degrees_are_those_of_the_texts(system):
    """A number on a chart is the number that the program prints."""
    scale = degrees(system)
    for kelvin in (250.0, 273.15, 310.4):
        assert f"{scale.number(kelvin)} {scale.unit}" == format_quantity(kelvin, "temperature", system)


@pytest.mark.parametrize(("system", "theme"), [("metric", LIGHT), ("us", DARK)])
def test_nothing_lies_over_anything(days, year, system, theme):
    """Words keep apart and inside the page; nothing drawn is NaN."""
    for course in (*days, year):
        assert_readable(page_of(course, system, theme))


def test_days_that_are_hard_to_draw(days):
    """No targets; a night over midnight; all air alike; a thermostat that switches; many lamps; one that is off."""
    day = days[0]
    assert_readable(page_of(replace(day, bands=(), spot=None)))
    late = Hours(day=(79200.0, 14400.0), night=(43200.0, 54000.0))
    assert_readable(page_of(replace(day, hours=late)))
    even = replace(day.airs[0], air=np.full(1440, 295.0), day=day.airs[0].night)
    alike = tuple(replace(even, name=air.name, height=air.height) for air in day.airs)
    assert_readable(page_of(replace(day, airs=alike, room=even.air, bands=(), spot=None)))
    assert_readable(page_of(replace(day, lamps=())))
    switching = replace(
        day.lamps[0], name="ceramic heater by the back wall", level=np.arange(1440) % 7 < 3, most=1.0
    )
    off = replace(day.lamps[0], name="lamp in reserve", level=np.zeros(1440), most=0.0)
    figure = page_of(replace(day, lamps=(switching, off) * 5))
    assert_readable(figure)
    assert "off" in [words for words, *_ in texts_of(figure)]
    one = Band("night", 290.0, 297.0, "night")
    assert_readable(page_of(replace(day, bands=(one,), spot=None)))


def test_years_that_are_hard_to_draw(year):
    """No tariff, no targets, no electricity; four digits of it."""
    assert_readable(page_of(replace(year, bands=(), price=None, energy=np.zeros(12))))
    assert_readable(page_of(replace(year, energy=year.energy * 15, price=0.31)))
    assert_readable(page_of(replace(year, energy=year.energy * 15, price=31.0)))
    figure = page_of(replace(year, energy=year.energy * 15, price=None))
    assert_readable(figure)
    assert not any("cost" in words for words, *_ in texts_of(figure))


def test_names_are_spread_as_little_as_can_be():
    """Order and gap are kept; names that have room stay where they are; the others share what is missing."""
    assert spread([1.0, 5.0, 9.0], 2.0, 0.0, 10.0) == [1.0, 5.0, 9.0]
    assert spread([5.0, 5.0], 2.0, 0.0, 10.0) == [4.0, 6.0]
    assert spread([9.5, 9.6, 9.7], 1.0, 0.0, 10.0) == [8.0, 9.0, 10.0]
    places = spread(sorted(np.random.default_rng(3).uniform(0, 10, 6)), 1.5, 0.0, 10.0)
    assert (np.diff(places) >= 1.5 - 1e-9).all()
    assert min(places) >= 0
    assert max(places) <= 10


def test_a_plan_without_a_room_is_refused_in_a_sentence(tmp_path):
    """Nothing is written, and the message says what to write into the plan."""
    file = write_new_plan(tmp_path / "box", "arid")
    lines = [line for line in file.read_text().splitlines() if not line.startswith("  room:")]
    file.write_text("\n".join(lines) + "\n")
    done = CliRunner().invoke(main, ["climate", str(file), "--charts", "--out", str(tmp_path / "charts")])
    assert done.exit_code == 2
    assert "does not say how warm its room is" in done.output
    assert not (tmp_path / "charts").exists()


def test_refused_before_any_day_is_run(tmp_path, monkeypatch):
    """An unknown format, and a missing drawing library with the line that installs it."""
    with pytest.raises(DomainError, match=r"png, svg; got 'gif'"):
        draw_charts(None, tmp_path, ("gif",))
    monkeypatch.setattr(drawing_library.importlib.util, "find_spec", lambda _: None)
    with pytest.raises(
        SunfleckError, match=r"maps need matplotlib, which is not installed; try: pip install"
    ):
        draw_charts(None, tmp_path, ("png",))


def test_the_command_writes_beside_the_plan(tmp_path, monkeypatch, drawn):
    """`climate --charts` prints what it wrote instead of the report; a month and dark go through."""
    file = write_new_plan(tmp_path / "box", "arid")
    asked = []

    def draw(_source, folder, formats, dark, month, surveys):
        assert surveys == ()
        asked.append((folder, formats, dark, month))
        return (folder / "day-march-the-dragon-dark.svg",)

    monkeypatch.setattr("sunfleck.service.charts.draw_charts", draw)
    done = CliRunner().invoke(
        main, ["climate", str(file), "--charts", "--month", "March", "--dark", "--format", "svg"]
    )
    assert done.exit_code == 0, done.output
    assert asked == [(file.parent / "charts", ("svg",), True, "March")]
    assert done.output == f"Wrote {file.parent / 'charts' / 'day-march-the-dragon-dark.svg'}\n"
