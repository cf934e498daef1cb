"""Promises of the map pictures: complete, readable as text, the same every time, and never a crash."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import matplotlib as mpl
import numpy as np
import pytest
from PIL import Image

from sunfleck.errors import DomainError, SunfleckError
from sunfleck.outputs import drawing_library
from sunfleck.outputs.maps import write_maps
from sunfleck.outputs.page import DOTS, WIDTH
from sunfleck.studies.slices import MapSet

STEMS = ["uvi-plan", "uvi-front-elevation", "uvi-side-elevation", "uvi-perches"]
SVG = "{http://www.w3.org/2000/svg}"


def words_of(file: Path) -> list[str]:
    """Every text of an SVG, as a search in a viewer finds it."""
    tree = ElementTree.parse(file)
    return ["".join(each.itertext()).strip() for each in tree.iter(f"{SVG}text")]


def test_every_cut_and_one_page_of_perches_in_each_format(written: tuple[Path, ...]):
    """The files that are named exist, in order, and nothing else is left in the folder."""
    assert [file.name for file in written] == [f"{stem}.{kind}" for stem in STEMS for kind in ("png", "svg")]
    assert sorted(written[0].parent.iterdir()) == sorted(written)


def test_pictures_are_as_wide_as_a_phone_can_show(written: tuple[Path, ...]):
    """A PNG opens, is 1080 px wide and higher than wide; its ground is the paper's colour."""
    for file in written[::2]:
        with Image.open(file) as picture:
            assert picture.width == round(WIDTH * DOTS) == 1080
            assert picture.width < picture.height < 2.2 * picture.width
            assert picture.convert("RGB").getpixel((2, 2)) == (0xFB, 0xFA, 0xF6)


def test_a_map_keeps_its_proportions(maps: MapSet, tmp_path: Path):
    """A centimetre is as long upwards as to the right: a square of light stays a square."""
    plan = maps.slices[0]
    nx, ny = 150, 75
    x, y = (np.arange(nx) + 0.5) * 0.01, (np.arange(ny) + 0.5) * 0.01
    square = np.where((np.abs(x[None, :] - 0.75) < 0.2) & (np.abs(y[:, None] - 0.375) < 0.2), 1.0, 0.0)
    alone = replace(plan, across=x, up=y, expected=square, outlines=())
    only = replace(maps, slices=(alone,), strips=(), floor=None, ceiling=None)
    (file,) = write_maps(only, tmp_path, ["png"])
    with Image.open(file) as picture:
        # The top of cividis; the colour bar's end is of the same colour, so only the upper part counts.
        upper = np.asarray(picture.convert("RGB"))[: round(0.55 * picture.height)].astype(int)
    yellow = np.abs(upper - np.array([253, 231, 55])).sum(axis=2) < 30
    rows, columns = np.flatnonzero(yellow.any(axis=1)), np.flatnonzero(yellow.any(axis=0))
    assert np.ptp(rows) == pytest.approx(np.ptp(columns), rel=0.02)


def test_words_stay_words(written: tuple[Path, ...]):
    """An SVG is XML that holds plan, place, channel, lamps, basis, targets, names and scale as text."""
    files = {file.stem: words_of(file) for file in written[1::2]}
    plan = files["uvi-plan"]
    for words in (
        "Lobby basilisk",
        "Plan, cut at z = 85 cm",
        "UV index, UVI",
        "50 cm  (19.7 in)",
        "x, to the right (cm)",
    ):
        assert words in plan
    for name in (
        "uv tube",
        "basking lamp",
        "main limb",
        "cross branch",
        "fig",
        "cork wall",
        "left door",
        "low strip",
    ):
        assert name in plan
    assert "floor: wanted at least 3.0 where it basks" in plan
    assert "ceiling: never above 6.0 within reach" in plan
    told = " ".join(plan)
    assert "08:00-20:00: uv tube, basking lamp." in told
    assert "Direct light only; cuts are turned to the brightest direction" in told
    perches = files["uvi-perches"]
    assert {"main limb", "cross branch", "top", "at the animal's back, UVI"} <= set(perches)
    assert "at the animal's back: expected, and could be (9 of 10)" in perches


def test_iso_lines_carry_round_numbers(written: tuple[Path, ...]):
    """The levels of the colour bar stand on the lines; floor and ceiling have lines of their own."""
    words = words_of(written[3])
    # Once below the colour bar, and at least once on the field.
    for level in ("2", "4", "8"):
        assert words.count(level) >= 2
    assert words.count("6") == 1


def test_the_same_set_gives_the_same_bytes(maps: MapSet, written: tuple[Path, ...], tmp_path: Path):
    """Two runs, the second in another process-wide style, give equal files to the byte."""
    with mpl.rc_context({"font.size": 20, "axes.facecolor": "red", "svg.fonttype": "path"}):
        again = write_maps(maps, tmp_path)
        assert mpl.rcParams["font.size"] == 20, "the user's settings come back"
    for one, other in zip(written, again, strict=True):
        assert one.read_bytes() == other.read_bytes(), one.name
    assert all(b"dc:date" not in file.read_bytes() for file in written[1::2])


def test_dark_pictures_stand_beside_the_light_ones(maps: MapSet, written: tuple[Path, ...], tmp_path: Path):
    """The dark variant has its own names, a dark ground and the same words."""
    dark = write_maps(replace(maps, slices=maps.slices[:1]), tmp_path, dark=True)
    assert [file.stem for file in dark[::2]] == ["uvi-plan-dark", "uvi-perches-dark"]
    with Image.open(dark[0]) as picture:
        assert max(picture.convert("RGB").getpixel((2, 2))) < 40
    assert words_of(dark[1]) == words_of(written[1])


def test_inches_for_those_who_build_in_inches(maps: MapSet, tmp_path: Path):
    """US units: axes, place, and a scale bar in inches with the other system small beside it."""
    words = words_of(write_maps(replace(maps, slices=maps.slices[:1]), tmp_path, ["svg"], "us")[0])
    assert "Plan, cut at z = 33.5 in" in words
    assert "24 in  (61 cm)" in words
    assert "x, to the right (in)" in words
    assert not any("(cm)" in each for each in words)


@pytest.mark.parametrize("value", [0.0, 2.0, 4.0, 25.0, float("nan"), 1e-9])
def test_a_field_of_one_value(with_field: Callable[[float], MapSet], value: float, tmp_path: Path):
    """All dark, all bright, all solid: a picture that says so, not a crash."""
    whole = with_field(value)
    files = write_maps(replace(whole, slices=whole.slices[:1]), tmp_path)
    assert len(files) == 4
    words = " ".join(words_of(files[1]))
    expected = {
        0.0: "none of this light arrives here",
        2.0: "wanted at least 3.0 where it basks; nowhere here",
        4.0: "never above 6.0 within reach; nowhere here",
        25.0: "never above 6.0 within reach; everywhere here",
    }
    said = (
        "all of this cut is inside something solid"
        if np.isnan(value)
        else expected.get(value, "nowhere here")
    )
    assert said in words


def test_targets_are_drawn_only_where_the_channel_has_them(maps: MapSet, tmp_path: Path):
    """Without floor and ceiling nothing is said about them."""
    words = " ".join(
        words_of(
            write_maps(replace(maps, slices=maps.slices[:1], floor=None, ceiling=None), tmp_path, ["svg"])[0]
        )
    )
    assert "floor" not in words
    assert "ceiling" not in words


def test_small_and_empty_sets(maps: MapSet, tmp_path: Path):
    """One cell, one row, no outlines, no perches, nothing at all."""
    plan = maps.slices[0]
    cell = replace(plan, across=np.array([0.5]), up=np.array([0.2]), expected=np.array([[3.0]]), outlines=())
    row = replace(plan, up=np.array([0.2]), expected=plan.expected[:1])
    files = write_maps(replace(maps, slices=(cell, row), strips=()), tmp_path, ["svg"])
    assert [file.name for file in files] == ["uvi-plan.svg", "uvi-plan-2.svg"]
    assert write_maps(replace(maps, slices=(), strips=()), tmp_path) == ()


def test_names_that_would_trip_a_drawing_library(maps: MapSet, tmp_path: Path):
    """Dollars, angle brackets, long names and letters the font lacks arrive as they are."""
    plan = maps.slices[0]
    labels = ["$x_1$ & <b>", "株の影", "a name that goes on and on and on"]
    outlines = tuple(replace(o, label=label) for o, label in zip(plan.outlines[1:4], labels, strict=True))
    odd = replace(maps, plan_name="$50 box & <sons>", slices=(replace(plan, outlines=outlines),), strips=())
    words = words_of(write_maps(odd, tmp_path)[1])
    assert {"$50 box & <sons>", "$x_1$ & <b>", "株の影", "a name that goes on…"} <= set(words)


def test_names_without_room_are_listed(maps: MapSet, tmp_path: Path):
    """Names never cover one another: what finds no place stands below the picture."""
    plan = maps.slices[0]
    crowd = tuple(replace(plan.outlines[1], label=f"tube number {k}") for k in range(40))
    (file,) = write_maps(replace(maps, slices=(replace(plan, outlines=crowd),), strips=()), tmp_path, ["svg"])
    words = words_of(file)
    told = " ".join(words)
    assert "Drawn, without room for a name:" in told
    for k in range(40):
        assert f"tube number {k}" in told


def test_a_failed_write_leaves_the_old_picture(maps: MapSet, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Pictures are moved into place whole; when that fails the old one stands and no rest lies about."""
    old = tmp_path / "uvi-plan.png"
    old.write_bytes(b"old")

    def refuse(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(OSError, match="No space left"):
        write_maps(maps, tmp_path, ["png"])
    assert old.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [old]


def test_an_unknown_format_is_refused(maps: MapSet, tmp_path: Path):
    """The message names what there is."""
    with pytest.raises(DomainError, match=r"png, svg; got 'gif'"):
        write_maps(maps, tmp_path, ["gif"])


def test_without_matplotlib_the_message_says_what_to_install(
    maps: MapSet, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
):
    """A missing extra is a sentence with its remedy, not a traceback."""
    monkeypatch.setattr(drawing_library.importlib.util, "find_spec", lambda _: None)
    with pytest.raises(
        SunfleckError, match=r"matplotlib, which is not installed; try: pip install .sunfleck\[maps\]"
    ):
        write_maps(maps, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_importing_the_module_does_not_load_matplotlib():
    """The drawing library is loaded when a map is asked for, not before."""
    code = "import sys, sunfleck.outputs.maps; sys.exit('matplotlib' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
