"""What the maps are made of: cuts, what they pass through, perches unrolled."""

import numpy as np
import pytest

from sunfleck.brief.build import make_brief
from sunfleck.outputs.maps import write_maps
from sunfleck.plan.read import read_plan_text
from sunfleck.studies.interreflection import interior_of
from sunfleck.studies.light_at import light_at_points
from sunfleck.studies.slices import maps_of


@pytest.fixture(scope="module")
def ready(arid):
    """The arid example's brief and its inside, once for all maps of it."""
    brief = make_brief(arid)
    return brief, interior_of(brief)


@pytest.fixture(scope="module")
def maps(ready):
    return maps_of(ready[0], "uvi", ready[1])


def test_a_cut_knows_what_it_passes_through(maps):
    """The front elevation goes through the slab it was laid through, and not through the cave behind it."""
    front = next(cut for cut in maps.slices if cut.view == "front elevation")
    passed = {outline.label: outline.cut for outline in front.outlines}
    assert passed["basking slab"]
    assert not passed["warm cave"]


def test_a_cut_is_empty_inside_solids_only(maps):
    """Below the ground there is no number; in the air there is."""
    front = next(cut for cut in maps.slices if cut.view == "front elevation")
    assert np.isnan(front.expected[front.up < 0.09]).all()
    assert not np.isnan(front.expected[front.up > 0.40]).any()


def test_both_ceilings_and_the_floor_are_on_the_map(maps, tmp_path):
    """A keeper reads wanted at least, wanted at most and never above, with their numbers."""
    files = write_maps(maps, tmp_path, ("svg",), "metric")
    text = next(file for file in files if "front" in file.name).read_text(encoding="utf-8")
    for words in ("wanted at least 2.6", "wanted at most 5.0", "never above 6.0"):
        assert words in text


def test_a_lamp_over_the_lid_is_drawn_over_the_lid(tmp_path):
    """Its outline lies above the inside height and its name is on the picture."""
    plan = read_plan_text(
        "format: 1\nname: gecko\nenclosure:\n  inside: {width: 130 cm, depth: 45 cm, height: 60 cm}\n"
        "  walls: {default: {material: glass-float, thickness: 5 mm}}\n"
        "  vents: [{name: lid, face: top, at: [1 cm, 1 cm], size: [128 cm, 43 cm], mesh: aluminium-18x16}]\n"
        "animals: [{species: Correlophus ciliatus}]\nfixtures:\n"
        "  - {name: lid tube, lamp: uv-t5-54w-reflector, from: [7 cm, 22 cm, 65 cm], to: [122 cm, 22 cm, 65 cm]}\n"
    )
    found = maps_of(make_brief(plan), "uvi")
    front = next(cut for cut in found.slices if cut.view == "front elevation")
    tube = next(outline for outline in front.outlines if outline.label == "lid tube")
    assert tube.xy[:, 1].min() > 0.60
    files = write_maps(found, tmp_path, ("svg",), "metric")
    assert "lid tube" in next(file for file in files if "front" in file.name).read_text(encoding="utf-8")


def test_a_perch_is_unrolled_all_the_way_round(tall):
    """The line at the back lies within its own range; above and below the bark is as bright as it faces."""
    found = maps_of(make_brief(tall), "lux")
    strip = next(strip for strip in found.strips if strip.title == "main limb")
    assert strip.expected.shape == (len(strip.around), len(strip.along))
    usable = ~np.isnan(strip.back_line)
    assert (strip.low[usable] <= strip.back_line[usable]).all()
    assert (strip.back_line[usable] <= strip.high[usable]).all()
    top, below = np.abs(strip.around).argmin(), 0
    assert np.nanmean(strip.expected[top]) > 5 * np.nanmean(strip.expected[below])


def test_a_day_adds_up_what_timers_light(ready):
    """Closed form: at each place the day's dose is the sum over lamps of expected light times hours lit."""
    brief, interior = ready
    day, now = maps_of(brief, "ppfd", interior, day=True), maps_of(brief, "ppfd", interior)
    cut = day.slices[0]
    assert (cut.channel, cut.unit) == ("ppfd-day", "mol m-2")
    assert (day.floor, day.ceiling) == (None, None)
    gx, gy = np.meshgrid(cut.across, cut.up)
    points = np.stack([gx.ravel(), gy.ravel(), np.full(gx.size, cut.at)], axis=1)[::97]
    seconds = {fixture.name: sum(off - on for on, off in fixture.hours) for fixture in brief.fixtures}
    light = light_at_points(brief, points, "brightest", seconds, interior).ppfd
    dose = 1e-6 * sum(light.by_fixture.values())
    found = cut.expected.ravel()[::97]
    assert np.allclose(found[found > 0.01], dose[found > 0.01], rtol=0.05)
    assert np.nanmax(cut.expected) > 1e-6 * 9 * 3600 * np.nanmax(now.slices[0].expected)


def test_the_reach_is_seen_from_the_front(maps, reports):
    """The strongest at any depth: its largest is the largest within reach, and nothing is where nothing gets."""
    reach = next(cut for cut in maps.slices if cut.view == "reach")
    report = reports["arid"].numbers()
    expected = report["uv-ceiling:the-dragon.expected"].value
    assert np.nanmax(reach.expected) == pytest.approx(expected, rel=0.03)
    # It climbs the branch and the vents on the right and left and leaps nowhere: under the middle of the roof is no reach.
    middle = (reach.across > 0.5) & (reach.across < 1.1)
    assert np.isnan(reach.expected[reach.up > 0.7][:, middle]).all()
    assert np.isnan(reach.at)
