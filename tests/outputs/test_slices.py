"""Promises of what a plan hands to its pictures: what each cut passes through, and every target."""

from __future__ import annotations

import pytest

from sunfleck.brief.build import make_brief
from sunfleck.studies import slices
from sunfleck.studies.slices import MapSet, maps_of


@pytest.fixture(scope="module")
def coarse(arid) -> MapSet:
    """The arid example's maps on a coarse grid: what stands in the box does not depend on it."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(slices, "MOST_ON_A_CUT", 64)
        return maps_of(make_brief(arid), "uvi")


# Read off the example's plan by hand: which of its parts hold the height or the place of the cut.
CUT = {
    "plan": {
        "cool cave",
        "warm cave",
        "climbing branch",
        "sliding pane left",
        "sliding pane right",
        "low vent",
    },
    "front elevation": {
        "basking slab",
        "high vent",
        "low vent",
        "ground",
    },
    "side elevation": {"basking slab", "sliding pane left", "front uv tube", "rear uv tube", "ground"},
}


def test_each_cut_knows_what_it_passes_through(coarse: MapSet):
    """Parts are told apart by their extent square to the cut, in all three views."""
    # The cuts lie where the dragon basks: z = 20 cm, y = 40 cm, x = 51 cm.
    # What is within reach is seen through all depths and cut nowhere.
    cuts = [cut for cut in coarse.slices if cut.view != "reach"]
    places = {cut.view: round(cut.at, 2) for cut in cuts}
    assert places == {"plan": 0.20, "front elevation": 0.40, "side elevation": 0.51}
    for cut in cuts:
        named = {each.label for each in cut.outlines if each.cut and each.label}
        assert named == CUT[cut.view], cut.view
        assert all(each.cut for each in cut.outlines if each.kind == "wall")


def test_all_three_targets_arrive(coarse: MapSet, arid):
    """The animal's floor, what is wanted at most, and the ceiling; none where the channel has none."""
    animal = make_brief(arid).animals[0]
    assert animal.uv_floor is not None
    assert animal.uv_comfort_ceiling is not None
    assert animal.uv_ceiling is not None
    wanted = (animal.uv_floor.value, animal.uv_comfort_ceiling.value, animal.uv_ceiling.value)
    assert (coarse.floor, coarse.comfort_ceiling, coarse.ceiling) == wanted
