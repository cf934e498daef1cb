"""Promises of the polar diagram: what is shown is what was read, the same every time, readable, and never a crash."""

from __future__ import annotations

from dataclasses import replace
from math import pi
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image

from sunfleck.errors import DomainError
from sunfleck.outputs import drawing_library
from sunfleck.outputs.drawing_library import MissingExtra, drawing_settings
from sunfleck.outputs.page import DOTS, WIDTH
from sunfleck.outputs.photometry_words import flux_words, photometry_text
from sunfleck.outputs.polar import polar_page, write_polar
from sunfleck.outputs.themes import DARK, LIGHT, Theme
from sunfleck.physics.photometry import Opening, Photometry
from sunfleck.studies.photometric_report import curves_of, report_of

SVG = "{http://www.w3.org/2000/svg}"
DOWN = np.radians(np.arange(0.0, 91, 5))


def lamp(table, vertical=DOWN, horizontal=None, **more) -> Photometry:
    horizontal = np.linspace(0, 2 * pi, len(table)) if horizontal is None else horizontal
    words = {"name": "a strip for a test", "form": "IES LM-63-2002", "watts": 12.0, "stated_lumens": 900.0}
    return Photometry(vertical, horizontal, np.array(table), **{**words, **more})


def narrow_one_way() -> Photometry:
    """Wide in C0-C180, narrow in C90-C270; 340 cd along the aim."""
    turn = np.linspace(0, 2 * pi, 25)
    width = 60 - 30 * np.sin(turn)[:, None] ** 2
    return lamp(
        340 * np.exp(-((np.degrees(DOWN)[None, :] / width) ** 2)),
        opening=Opening("rectangle", 0.6, 0.05, 0.0),
        absolute=False,
        keywords=(("TEST", "a test"),),
        notes=("something was assumed.",),
    )


LAMPS = {
    "downwards": narrow_one_way(),
    "upwards": lamp(np.tile(80 * np.sin(DOWN), (2, 1)), pi / 2 + DOWN),
    "all round": lamp(np.full((2, 2), 5.0), np.array([0.0, pi])),
    "to one side": lamp(
        40
        + 200 * (1 + np.cos(np.linspace(0, 2 * pi, 25)))[:, None] * np.sin(np.radians(np.arange(0, 181, 5))),
        np.radians(np.arange(0.0, 181, 5)),
    ),
    "very bright": lamp(np.full((2, 19), 2.5e6)),
    "very faint": lamp(np.full((2, 19), 3e-7), watts=None, stated_lumens=None),
    "dark in both planes": lamp(
        [[0, 0], [5, 5], [0, 0], [0, 0], [0, 0]],
        np.array([0.0, pi / 2]),
        np.radians([0.0, 45, 90, 180, 360]),
    ),
    "a thin beam": lamp([[1e4, 0, 0], [1e4, 0, 0]], np.array([0.0, 0.01, pi / 2])),
    "a long name": replace(narrow_one_way(), name="Lamp $x_1$ <b> & more " * 9),
    "no name": replace(narrow_one_way(), name="", form=""),
}


def written(
    table: Photometry, folder: Path, *, dark: bool = False, file: str = "a lamp.ies"
) -> tuple[Path, ...]:
    return write_polar(report_of(table, file), curves_of(table), folder, dark=dark)


def words_of(file: Path) -> list[str]:
    tree = ElementTree.parse(file)
    return ["".join(each.itertext()).strip() for each in tree.iter(f"{SVG}text")]


def drawn(table: Photometry, theme: Theme = LIGHT):
    with drawing_settings():
        figure = polar_page(report_of(table, "a lamp.ies"), curves_of(table), theme)
        figure.canvas.draw()
    return figure


@pytest.mark.parametrize("name", LAMPS)
@pytest.mark.parametrize("dark", [False, True])
def test_every_lamp_is_drawn_in_both_formats(name: str, dark: bool, tmp_path: Path):
    """A PNG of a phone's width on the theme's ground, an SVG of real text, and nothing else in the folder."""
    png, svg = files = written(LAMPS[name], tmp_path, dark=dark)
    stem = "a lamp-polar-dark" if dark else "a lamp-polar"
    assert [file.name for file in files] == [f"{stem}.png", f"{stem}.svg"]
    assert sorted(tmp_path.iterdir()) == sorted(files)
    with Image.open(png) as picture:
        assert picture.width == round(WIDTH * DOTS) == 1080
        assert 0.9 * picture.width < picture.height < 2 * picture.width
        assert picture.convert("RGB").getpixel((2, 2)) == ((0x15, 0x18, 0x1B) if dark else (0xFB, 0xFA, 0xF6))
    assert "0°" in words_of(svg) or "180°" in words_of(svg)


def test_the_picture_says_what_was_read(tmp_path: Path):
    """Name, file, edition, unit, both planes, flux of the table and as stated, scale in round candela."""
    _, svg = written(LAMPS["downwards"], tmp_path)
    words, report = words_of(svg), report_of(LAMPS["downwards"], "a lamp.ies")
    for wanted in ("a strip for a test", "a lamp.ies  ·  IES LM-63-2002", "Luminous intensity, cd"):
        assert wanted in words
    for wanted in ("C180 on the left, C0 on the right", "C270 on the left, C90 on the right"):
        assert wanted in words
    assert [word for word in words if word in ("100", "200", "300", "400")] == [
        "100",
        "200",
        "300",
        "400",
    ] * 2
    assert f"{report.flux_lm:,.0f} lm" in words
    assert "900 lm" in words
    assert "340 cd" in words


def test_curves_are_where_their_candela_are(tmp_path: Path):
    """340 cd along the aim reach 340/400 of the widest ring, straight down; C0 is to the right."""
    (ax, *_) = drawn(LAMPS["downwards"]).axes
    curves = [
        line.get_xydata() for line in ax.lines if len(line.get_xydata()) > 300 and line.get_zorder() >= 4
    ]
    assert len(curves) == 2
    for curve in curves:
        assert curve[:, 1].min() == pytest.approx(-340 / 400, rel=1e-6)
    (ax, *_) = drawn(LAMPS["to one side"]).axes
    first = next(
        line.get_xydata() for line in ax.lines if len(line.get_xydata()) > 300 and line.get_zorder() == 4
    )
    assert first[:, 0].max() > 5 * -first[:, 0].min()


@pytest.mark.parametrize(
    ("name", "below", "above"),
    [
        ("downwards", True, False),
        ("upwards", False, True),
        ("all round", True, True),
        ("dark in both planes", True, False),
    ],
)
def test_a_half_without_light_is_left_out(name: str, below: bool, above: bool):
    """The diagram reaches as far down and up as light does; a candela is as long upwards as to the right."""
    (ax, *_) = drawn(LAMPS[name]).axes
    low, high = ax.get_ylim()
    assert (low < -1, high > 1) == (below, above)
    across = ax.transData.transform([(1.0, 1.0)]) - ax.transData.transform([(0.0, 0.0)])
    assert across[0, 0] == pytest.approx(across[0, 1], rel=1e-3)


def test_planes_that_are_alike_are_one_line(tmp_path: Path):
    """A lamp alike all round has one curve and one key."""
    _, svg = written(LAMPS["upwards"], tmp_path)
    assert "C0-C180 and C90-C270, which are alike" in words_of(svg)
    assert not any("C270 on the left" in word for word in words_of(svg))


@pytest.mark.parametrize("theme", [LIGHT, DARK])
@pytest.mark.parametrize("name", LAMPS)
def test_no_words_cover_each_other_or_leave_the_page(name: str, theme: Theme):
    """Of every text on the page: inside it, and none over another."""
    figure = drawn(LAMPS[name], theme)
    texts = [text for holder in (figure, *figure.axes) for text in holder.texts if text.get_text()]
    boxes = [text.get_window_extent() for text in texts]
    page = figure.bbox
    for text, box in zip(texts, boxes, strict=True):
        assert box.x0 >= page.x0, text.get_text()
        assert box.x1 <= page.x1, text.get_text()
    for k, one in enumerate(boxes):
        for j in range(k):
            other = boxes[j]
            apart = (
                one.x1 <= other.x0 or other.x1 <= one.x0 or one.y1 <= other.y0 + 1 or other.y1 <= one.y0 + 1
            )
            assert apart, (texts[k].get_text(), texts[j].get_text())


def test_the_same_lamp_gives_the_same_bytes(tmp_path: Path):
    runs = []
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        runs.append([file.read_bytes() for file in written(LAMPS["to one side"], tmp_path / name)])
    assert runs[0] == runs[1]


def test_a_format_that_is_none_is_refused(tmp_path: Path):
    table = LAMPS["downwards"]
    with pytest.raises(DomainError, match="'pdf'"):
        write_polar(report_of(table, "a.ies"), curves_of(table), tmp_path, ["png", "pdf"])
    assert list(tmp_path.iterdir()) == []


def test_without_the_drawing_library_it_says_what_to_do(tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(drawing_library.importlib.util, "find_spec", lambda _: None)
    with pytest.raises(MissingExtra, match=r"pip install"):
        written(LAMPS["downwards"], tmp_path)


def test_the_text_says_what_was_read():
    """Flux beside what is stated, the brightest direction, the beam, what glows, the file's own words, the notes."""
    text = photometry_text(report_of(LAMPS["downwards"], "a lamp.ies"))
    for wanted in (
        "a lamp.ies: IES LM-63-2002",
        "stated are 900 lm of the lamps",
        "340 cd along the aim",
        "within 100° in C0-C180, within 50° in C90-C270",
        "100.0% towards the aim, nothing behind",
        "12 W",
        "a rectangle, 600 mm along C0-C180, 50 mm along C90-C270",
        "24 planes x 19 angles, 0° to 90° from the aim",
        "test          a test",
        "  - something was assumed.",
    ):
        assert wanted in text
    assert all(len(line) <= 96 for line in text.splitlines())


@pytest.mark.parametrize(
    ("stated", "words"),
    [
        ({"stated_lumens": None}, "states no lumens"),
        ({"stated_lumens": 5 * pi, "absolute": True}, "1.000 of that: they agree"),
        ({"stated_lumens": 10 * pi, "absolute": False}, "50% leaves the luminaire"),
        (
            {"stated_lumens": 10 * pi, "absolute": False, "output_ratio": 0.5},
            "of which 50% leave it: 1.000 of that: they agree",
        ),
        ({"stated_lumens": 10 * pi, "absolute": True}, "0.500 of that: THEY DO NOT AGREE"),
        ({"stated_lumens": 1 * pi, "absolute": False}, "5 times that: THEY DO NOT AGREE"),
        ({"stated_lumens": 500 * pi, "absolute": False}, "0.010 of that: THEY DO NOT AGREE"),
    ],
)
def test_flux_and_what_is_stated_are_compared_in_words(stated, words):
    """5 pi lm of a table: agreement within 3 %, bare lamps' lumens from a tenth on, everything else does not agree."""
    table = lamp(np.full((2, 2), 1.25), np.array([0.0, pi]), **stated)
    assert words in flux_words(report_of(table, "a.ies"))


def test_beams_are_full_angles_of_half_the_intensity():
    """Straight falls to half: by hand. A beam that looks up has one too; one all round has none."""
    tent = lamp(np.tile([100.0, 60.0, 20.0, 0.0], (2, 1)), np.radians([0.0, 20, 40, 90]))
    # 50 of 100 lies a quarter of the way from 60 at 20 degrees to 20 at 40.
    assert report_of(tent, "a.ies").beam_c0_deg == pytest.approx(2 * 25.0)
    over = lamp(np.tile([0.0, 20.0, 60.0, 100.0], (2, 1)), np.radians([90.0, 140, 160, 180]))
    assert report_of(over, "a.ies").beam_c0_deg == pytest.approx(2 * 25.0)
    assert report_of(LAMPS["all round"], "a.ies").beam_c0_deg is None
    assert report_of(LAMPS["dark in both planes"], "a.ies").beam_c0_deg == 0
