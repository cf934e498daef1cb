"""Promises of what stands in the box: names beside their things, lamps outside, faint what is not cut."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from sunfleck.outputs.cuts import cut_page
from sunfleck.outputs.drawing_library import drawing_settings
from sunfleck.outputs.maps import write_maps
from sunfleck.outputs.scales import colour_scale, ruler
from sunfleck.outputs.themes import LIGHT
from sunfleck.studies.slices import FieldSlice, MapSet, Outline

from .conftest import box_outline, limb_outline

Box = tuple[float, float, float, float]
DEPTH, HEIGHT, GROUND = 0.7, 1.0, 0.1
SLAB, CAVE, DEN = (0.18, 0.10, 0.56, 0.15), (0.08, 0.10, 0.36, 0.26), (0.44, 0.10, 0.68, 0.22)


def faint(outline: Outline) -> Outline:
    return replace(outline, cut=False)


def on_the_slab(*more: Outline) -> FieldSlice:
    """A low box cut through a slab on the ground, with two caves and a branch behind it."""
    x, y = (np.arange(70) + 0.5) * 0.01, (np.arange(100) + 0.5) * 0.01
    field = np.broadcast_to(6.0 * y[:, None], (100, 70)).copy()
    outlines = (
        box_outline("", "wall", (0.0, 0.0, DEPTH, HEIGHT)),
        box_outline("slab to bask on", "ledge", SLAB),
        faint(box_outline("cool den", "hide", CAVE)),
        faint(box_outline("warm den", "hide", DEN)),
        Outline("ground", "substrate", np.array([[0.0, GROUND], [DEPTH, GROUND]]), closed=False),
        faint(limb_outline("low branch", [(0.56, 0.13), (0.52, 0.18), (0.48, 0.24)], 0.02)),
        *more,
    )
    return FieldSlice(
        "Side elevation, cut at x",
        "side elevation",
        "uvi",
        "UVI",
        0.51,
        x,
        y,
        field,
        "y, to the back",
        "z, up",
        outlines,
    )


def drawn(cut: FieldSlice) -> Figure:
    maps = MapSet("Low box", (cut,), (), "expected UV index; direct light only", 6.0, 3.0)
    scale = colour_scale([cut.expected], [], 3.0, 6.0)
    with drawing_settings():
        figure = cut_page(cut, maps, scale, ruler("metric"), LIGHT)
        figure.canvas.draw()
    return figure


def name_boxes(figure: Figure) -> dict[str, Box]:
    """Where each word on the map stands, in metres, as the drawing library measures it."""
    ax = figure.axes[0]
    found = {}
    for text in ax.texts:
        extent = text.get_window_extent().transformed(ax.transData.inverted())
        found[text.get_text()] = (extent.x0, extent.y0, extent.x1, extent.y1)
    return found


def shared(one: Box, other: Box) -> bool:
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


def lies_in(one: Box, other: Box) -> bool:
    return one[0] >= other[0] and one[1] >= other[1] and one[2] <= other[2] and one[3] <= other[3]


def test_a_name_lies_in_or_next_to_its_thing_and_in_no_other():
    """The slab is named in the slab, the ground in the ground; the caves' names are in neither."""
    found = name_boxes(drawn(on_the_slab()))
    assert lies_in(found["slab to bask on"], SLAB)
    assert lies_in(found["ground"], (0.0, 0.0, DEPTH, GROUND))
    for name, own, other in (("cool den", CAVE, DEN), ("warm den", DEN, CAVE)):
        if name in found:
            assert not shared(found[name], SLAB)
            assert found[name][1] > GROUND
            assert not shared(found[name], other)
            x0, y0, x1, y1 = own
            assert shared(found[name], (x0 - 0.03, y0 - 0.03, x1 + 0.03, y1 + 0.03))


@pytest.mark.parametrize("top", [0.02, 0.05, 0.3])
def test_ground_of_any_depth_keeps_its_name(top: float):
    """Thin ground is named on its surface, deep ground within; never in what stands on it."""
    cut = on_the_slab()
    ground = replace(cut.outlines[4], xy=np.array([[0.0, top], [DEPTH, top]]))
    block = (0.05, top, 0.45, top + 0.2)
    stone = box_outline("stone", "ledge", block)
    found = name_boxes(drawn(replace(cut, outlines=(cut.outlines[0], ground, stone))))
    assert lies_in(found["stone"], block)
    assert not shared(found["ground"], block)
    assert found["ground"][1] < top + 0.03


def test_every_name_of_a_full_box_keeps_out_of_other_solid_things(maps: MapSet):
    """On all cuts no name lies over a lamp, ledge, hide or panel that is not its own."""
    for cut in maps.slices:
        found = name_boxes(drawn(cut))
        for outline in cut.outlines:
            if outline.kind not in ("lamp", "ledge", "hide", "background") or not outline.closed:
                continue
            low, high = outline.xy.min(axis=0), outline.xy.max(axis=0)
            for name, box in found.items():
                if name != outline.label and any(each.label == name for each in cut.outlines):
                    assert not shared(box, (*low, *high)), f"{name} in {outline.label}, {cut.view}"


def test_no_number_of_a_line_stands_on_a_lamp(maps: MapSet):
    """Iso-lines crowd round lamps; their numbers stand elsewhere."""
    for cut in maps.slices:
        found = name_boxes(drawn(cut))
        for lamp in (each for each in cut.outlines if each.kind == "lamp"):
            low, high = lamp.xy.min(axis=0), lamp.xy.max(axis=0)
            assert not any(shared(box, (*low, *high)) for word, box in found.items() if word.isdigit())


LAMPS_OUTSIDE = {
    "above": (0.25, 1.05, 0.30, 1.10),
    "left": (-0.13, 0.70, -0.08, 0.75),
    "right": (0.80, 0.40, 0.85, 0.45),
    "far above": (0.10, 1.60, 0.60, 1.65),
}


@pytest.mark.parametrize("where", list(LAMPS_OUTSIDE))
def test_a_lamp_outside_is_shown_outside(where: str):
    """The picture widens to the lamp, the field stays inside, and the lamp's name is outside too."""
    lamp = LAMPS_OUTSIDE[where]
    figure = drawn(on_the_slab(box_outline("tube outside", "lamp", lamp)))
    ax = figure.axes[0]
    assert lies_in(lamp, (ax.get_xlim()[0], ax.get_ylim()[0], ax.get_xlim()[1], ax.get_ylim()[1]))
    assert tuple(ax.images[0].get_extent()) == pytest.approx((0.0, DEPTH, 0.0, HEIGHT))
    name = name_boxes(figure)["tube outside"]
    assert not shared(name, (0.0, 0.0, DEPTH, HEIGHT))
    assert lies_in(name, (ax.get_xlim()[0], ax.get_ylim()[0], ax.get_xlim()[1], ax.get_ylim()[1]))
    # A metre stays as long upwards as to the right.
    per_metre = ax.transData.transform([(1.0, 1.0)]) - ax.transData.transform([(0.0, 0.0)])
    assert per_metre[0, 0] == pytest.approx(per_metre[0, 1])


def test_without_a_lamp_outside_the_box_fills_the_picture():
    """Doors, vents and lamps inside do not widen it."""
    inside = box_outline("tube", "lamp", (0.25, 0.9, 0.3, 0.95))
    ax = drawn(on_the_slab(inside)).axes[0]
    assert ax.get_xlim() == pytest.approx((-0.012, DEPTH + 0.012))
    assert ax.get_ylim() == pytest.approx((-0.012, HEIGHT + 0.012))


def strokes(figure: Figure, xy: np.ndarray) -> list[Polygon]:
    patches = (each for each in figure.axes[0].patches if isinstance(each, Polygon))
    return [p for p in patches if len(p.get_xy()) >= len(xy) and np.allclose(p.get_xy()[: len(xy)], xy)]


def test_what_is_not_cut_is_thinner_and_fainter():
    """The same thing before or behind the cut has thinner, fainter lines, a quieter name, and a line of key."""
    cut = on_the_slab()
    shelf = box_outline("shelf", "hide", (0.2, 0.5, 0.6, 0.7))
    here = drawn(replace(cut, outlines=(cut.outlines[0], shelf)))
    there = drawn(replace(cut, outlines=(cut.outlines[0], faint(shelf))))
    pairs = list(zip(strokes(here, shelf.xy), strokes(there, shelf.xy), strict=True))
    assert pairs
    for strong, weak in pairs:
        assert weak.get_linewidth() < strong.get_linewidth()
        assert weak.get_edgecolor()[3] < strong.get_edgecolor()[3]
        assert weak.get_zorder() < strong.get_zorder()
    inks = [next(t for t in f.axes[0].texts if t.get_text() == "shelf").get_color() for f in (here, there)]
    assert [to_rgb(ink) for ink in inks] == [to_rgb(LIGHT.ink), to_rgb(LIGHT.quiet)]
    said = [" ".join(t.get_text() for t in f.texts) for f in (here, there)]
    assert "Fainter outlines" not in said[0]
    assert "Fainter outlines: to the left or right of the cut." in said[1]


def test_a_cut_block_hides_what_stands_behind_it():
    """A slab that the cut passes through is drawn as solid above the faint outlines, below its own line."""
    cut = on_the_slab()
    figure = drawn(cut)
    block = min(strokes(figure, cut.outlines[1].xy), key=lambda each: each.get_zorder())
    assert block.get_facecolor()[:3] == pytest.approx(to_rgb(LIGHT.solid))
    assert block.get_facecolor()[3] == 1.0
    behind = strokes(figure, cut.outlines[2].xy)
    assert behind
    assert all(each.get_zorder() < block.get_zorder() for each in behind)


def test_the_strong_name_comes_first():
    """Where two things of one place compete for one name's room, the one that is cut gets it."""
    cut = on_the_slab()
    tall = (0.0, 0.0, 0.7, 1.0)
    plates = [box_outline(f"plate {k}", "hide", tall) for k in range(12)]
    behind = [faint(each) for each in plates[:11]]
    found = name_boxes(drawn(replace(cut, outlines=(cut.outlines[0], *behind, plates[11]))))
    assert "plate 11" in found


def test_crowded_pictures_are_the_same_every_time(maps: MapSet, tmp_path: Path):
    """Lamps outside, faint things and names without room: equal bytes on a second run."""
    cut = on_the_slab(
        *(box_outline(f"tube {k}", "lamp", box) for k, box in enumerate(LAMPS_OUTSIDE.values()))
    )
    whole = replace(maps, slices=(cut,), strips=())
    runs = []
    for name in ("one", "two"):
        (tmp_path / name).mkdir()
        runs.append([file.read_bytes() for file in write_maps(whole, tmp_path / name)])
    assert runs[0] == runs[1]
