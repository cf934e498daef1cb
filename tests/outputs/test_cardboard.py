"""Templates at full size: measured in the files themselves, by another program's reader where there is one."""

import io
import re
import zlib
from math import ceil

import ezdxf
import numpy as np
import pytest

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.bodies import block, branch, relief, turned
from sunfleck.geometry.passage.layers import Leaf, Opening
from sunfleck.geometry.passage.motion import Motion, Move
from sunfleck.geometry.passage.stage import Stage
from sunfleck.outputs.cardboard import opening_template, part_template, side_by_side
from sunfleck.outputs.cardboard_pages import (
    OVERLAP,
    SHEETS,
    crosses_of,
    is_touched,
    template_pages,
    tiling_of,
)
from sunfleck.outputs.dxf import dxf_text

DOOR = Opening("door", (0.03, 0.06), (1.16, 1.10), Leaf("left", 0.018))
STAGE = Stage((1.22, 0.71, 1.22), "front", 0.02, (DOOR,))
PANEL = relief([[[0, 0, 0], [0.62, 0.4, 0.03]], [[0.1, 0.1, 0.03], [0.3, 0.2, 0.08]]])
POINT = 72 / 25.4  # [pt/mm]


def part(body=PANEL, system="metric", motion=None):
    return part_template("Panel", body, system, STAGE, motion)


def pages_of(content):
    """Content streams of the pages of a PDF, in order, as text."""
    streams = [
        zlib.decompress(found.group(1)) for found in re.finditer(rb"stream\r?\n(.*?)\r?\nendstream", content, re.S)
        if found.group(1)[:1] == b"x"
    ]  # fmt: skip
    return [text.decode("latin-1") for text in streams if text.startswith(b"/DeviceRGB CS")]


def strokes(page):
    """Straight lines (n, 2, 2) of a page. [pt]"""
    found, here = [], None
    for x, y, kind in re.findall(r"(-?[\d.]+) (-?[\d.]+) ([ml])\b", page):
        at = (float(x), float(y))
        if kind == "l":
            found.append((here, at))
        here = at
    return np.array(found)


def lengths(page):
    return np.hypot(*np.diff(strokes(page), axis=1)[:, 0].T)


@pytest.mark.parametrize(("system", "bar"), [("metric", 100 * POINT), ("us", 4 * 72)])
def test_the_bar_and_the_part_measure_what_they_say(system, bar):
    """In the file: the bar is 100 mm or 4 in on every page, and the sides of a part on one page are its sides."""
    small = part(block([0.12, 0.08, 0.01]), system)
    content = template_pages(small, system)
    pages = pages_of(content)
    assert len(pages) == 2 == len(re.findall(rb"/Type /Page\b", content))
    for page in pages:
        assert np.isclose(lengths(page), bar, atol=1e-4).sum() == 1
    for side in (120.0, 80.0):
        assert np.isclose(lengths(pages[1]), side * POINT, atol=1e-4).sum() >= 2
    for box in re.findall(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", content):
        assert sorted(map(float, box)) == pytest.approx([side * POINT for side in SHEETS[system]], abs=1e-3)


@pytest.mark.parametrize(
    "size", [(0.19, 0.25), (0.62, 0.4), (1.2, 1.15), (3.0, 3.0), (3.0, 0.02), (0.004, 0.003)]
)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_sheets_cover_all_of_it(size, system):
    """So many sheets as the size asks for; every point of every line on at least one that is printed."""
    template = part(block([*size, 0.002]), system)
    tiling = tiling_of(template, system)
    for k, count in ((0, tiling.columns), (1, tiling.rows)):
        needed = template.size[k] + 8.0
        assert count == max(1, ceil((needed - OVERLAP) / (tiling.tile[k] - OVERLAP) - 1e-9))
    places = [
        (c, r)
        for r in range(tiling.rows)
        for c in range(tiling.columns)
        if is_touched(template, tiling, c, r)
    ]
    lows = np.array([tiling.corner(*place) for place in places])
    draw = np.random.default_rng(1)
    for line in template.lines:
        ends = np.concatenate([line.points, line.points[:1]]) if line.closed else line.points
        row = draw.integers(0, len(ends) - 1, 200)
        points = ends[row] + draw.uniform(0, 1, (200, 1)) * (ends[row + 1] - ends[row])
        seen = ((points[:, None] >= lows) & (points[:, None] <= lows + tiling.tile)).all(axis=2)
        assert seen.any(axis=1).all()


def test_neighbours_share_their_crosses():
    """Each cross of a sheet lies on the sheet beside it too, at the same place of the drawing."""
    tiling = tiling_of(part(block([0.62, 0.4, 0.01])), "metric")
    assert tiling.columns > 1
    for row in range(tiling.rows):
        for column in range(tiling.columns - 1):
            mine = {tuple(np.round(each, 6)) for each in crosses_of(tiling, column, row)}
            beside = {tuple(np.round(each, 6)) for each in crosses_of(tiling, column + 1, row)}
            assert len(mine & beside) == 2


def test_pages_without_a_line_are_left_out():
    """A large panel is printed as its rim; the plan comes first; the file is the same every time."""
    template = part(block([1.0, 0.9, 0.01]))
    tiling = tiling_of(template, "metric")
    printed = sum(
        is_touched(template, tiling, c, r) for c in range(tiling.columns) for r in range(tiling.rows)
    )
    content = template_pages(template, "metric", "Sunfleck")
    assert len(re.findall(rb"/Type /Page\b", content)) == 1 + printed < tiling.columns * tiling.rows
    assert content == template_pages(template, "metric", "Sunfleck")


def test_too_many_sheets_are_refused_with_a_way_out():
    """A panel of 9 m is not tiled, and the DXF is named instead."""
    with pytest.raises(DomainError, match=r"300 sheets.*9\.0\d m.*DXF"):
        template_pages(part(block([9.0, 8.0, 0.01])), "metric")


def read(template):
    """The drawing as another program reads it: lines by layer, and what it finds wrong."""
    drawing = ezdxf.read(io.StringIO(dxf_text(template)))
    assert not drawing.audit().errors
    assert drawing.dxfversion == "AC1009"
    shapes = {}
    for entity in drawing.modelspace():
        if entity.dxftype() == "POLYLINE":
            shapes.setdefault(entity.dxf.layer, []).append(
                (np.array([(v.dxf.location.x, v.dxf.location.y) for v in entity.vertices]), entity.is_closed)
            )
        elif entity.dxftype() == "LINE":
            shapes.setdefault(entity.dxf.layer, []).append(
                (np.array([(end.x, end.y) for end in (entity.dxf.start, entity.dxf.end)]), False)
            )
    return shapes, [entity.dxf.text for entity in drawing.modelspace().query("TEXT")]


@pytest.mark.parametrize(
    "body",
    [
        PANEL,
        branch([([[0, 0, 0], [0.3, 0.1, 0]], 0.02), ([[0.15, 0.05, 0], [0.2, 0.3, 0]], [0.02, 0.01])]),
        turned([0, 0.05], [0.03, 0.04]),
    ],
)
def test_another_reader_finds_the_same_lines(body):
    """Every line of the template, in its layer, in millimetres to 0.1 micrometre."""
    template = part(body)
    shapes, words = read(template)
    for layer, cut in (("CUT", True), ("MARK", False)):
        mine = [(line.points, line.closed) for line in template.lines if line.cut is cut]
        assert len(mine) == len(shapes.get(layer, []))
        for (points, closed), (other, shut) in zip(mine, shapes.get(layer, []), strict=True):
            assert closed == shut
            assert other == pytest.approx(points, abs=1e-4)
    assert words == ["Panel"]


def test_sides_of_a_known_panel():
    """62 by 40 cm: the cut line has these sides; the relief is a mark of 20 by 10 cm."""
    shapes, _ = read(part())
    ((outline, _),) = shapes["CUT"]
    assert np.ptp(outline, axis=0) == pytest.approx([620, 400])
    assert any(
        np.ptp(points, axis=0) == pytest.approx([200, 100]) for points, closed in shapes["MARK"] if closed
    )


def test_the_hole_is_the_opening_less_clearance_and_leaf():
    """116 by 110 cm, 10 mm on every side, a leaf of 18 mm on the left; too tight an opening says so."""
    shapes, words = read(opening_template(STAGE, DOOR, 0.01, "metric"))
    ((hole, _),) = shapes["CUT"]
    assert hole.min(axis=0) == pytest.approx([28, 10])
    assert hole.max(axis=0) == pytest.approx([1150, 1090])
    assert words[0].startswith("door")
    tight = opening_template(STAGE, Opening("slot", (0, 0), (0.3, 0.015)), 0.01, "us")
    assert not any(line.cut for line in tight.lines)
    assert any("nothing of it is left" in told for told in tight.told)


def test_what_goes_in_first_is_marked():
    """A panel pushed in with its right edge ahead: an arrow whose tip lies on that edge."""
    turn = np.array([np.sqrt(0.5), 0, 0, np.sqrt(0.5)])  # own x to the back
    motion = Motion(
        np.array([turn, turn]), np.array([[0.5, -1.0, 0.5], [0.5, 0.3, 0.5]]), np.zeros(3), (Move("push", 0, 1, 1.3, 0.0),)
    )  # fmt: skip
    template = part(block([0.6, 0.02, 0.4]), motion=motion)
    assert [each.words for each in template.words] == ["Panel", "this edge goes in first"]
    shaft = next(
        line
        for line in template.lines
        if not line.cut
        and len(line.points) == 2
        and len(set(line.points[:, 1])) == 1
        and abs(np.ptp(line.points[:, 0]) - 60) < 1e-6
    )
    assert shaft.points[1] == pytest.approx([600, 200])
    flat = part(
        block([0.6, 0.4, 0.02]),
        motion=Motion(
            np.array([[np.sqrt(0.5), np.sqrt(0.5), 0, 0]] * 2), motion.places, np.zeros(3), motion.moves
        ),
    )
    assert "this face first" in " ".join(flat.told)


def test_words_that_would_break_the_file():
    """Line breaks, percent signs and other letters stay words; drawings lie beside each other."""
    name = "Rück\nwand\r\n  0\nEOF %%d \U0001f98e"
    both = side_by_side(
        [part_template(name, PANEL, "metric", STAGE), opening_template(STAGE, DOOR, 0.01, "metric")]
    )
    text = dxf_text(both)
    assert text.isascii()
    shapes, words = read(both)
    assert "ck" in words[0]
    assert "%%" not in words[0]
    (first, _), (second, _) = shapes["CUT"]
    assert second[:, 0].min() > first[:, 0].max()
    assert template_pages(both, "us").startswith(b"%PDF")
