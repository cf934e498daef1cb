"""Room on a face: what is mounted there overlaps nothing and stands in nothing's way."""

import numpy as np
import pytest

from sunfleck.geometry.boxes import FACE_AXES
from sunfleck.plan.solids import inside_box
from sunfleck.plan.spots import can_be_cut, free_spot

SIZES = [(0.04, 0.04), (0.12, 0.12), (0.4, 0.05), (0.6, 0.05)]


@pytest.mark.parametrize("name", ["tall", "arid"])
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("along", ["top", "ground"])
def test_a_free_spot_is_on_its_face_and_clear_of_openings(name, size, along, request):
    """On every face of both examples, found by going over the openings one by one."""
    source = request.getfixturevalue(name)
    plan, found = source.plan, 0
    for face, (_, _, first, second) in FACE_AXES.items():
        at = free_spot(plan, source.library, face, size, along)
        if at is None:
            continue
        found += 1
        high = inside_box(plan).high[[first, second]]
        low_end, high_end = np.array(at), np.array(at) + size
        assert (low_end >= 0).all()
        assert (high_end <= high).all()
        if second == 2:
            assert at[1] >= plan.substrate.depth
        for part in plan.enclosure.openings:
            if part.face == face:
                clear = (low_end >= np.array(part.at) + part.size) | (high_end <= np.array(part.at))
                assert clear.any(), (face, part.name)
    assert found >= 4


def test_high_is_higher_than_low(arid):
    """Asked for at the top and at the ground, a strip in the back is found at its head and at its foot."""
    size = (0.4, 0.05)
    high, low = (free_spot(arid.plan, arid.library, "back", size, along) for along in ("top", "ground"))
    assert high == pytest.approx((0.6, 0.93))
    assert low == pytest.approx((0.6, 0.12))


def test_a_branch_on_the_wall_and_a_lamp_before_it_are_kept_clear_of(arid):
    """The arid example's branch ends at the right wall, 24 cm up; its tubes end 3 cm from the left wall."""
    on_the_branch = free_spot(arid.plan, arid.library, "right", (0.66, 0.12), "ground")
    assert on_the_branch is not None
    assert on_the_branch[1] > 0.24 + 0.02
    at = free_spot(arid.plan, arid.library, "left", (0.6, 0.05), "top")
    assert at is not None
    assert at[1] + 0.05 < 0.93


def test_no_room_is_told(arid):
    """What is larger than the face has no spot."""
    assert free_spot(arid.plan, arid.library, "back", (2.0, 0.05), "top") is None


def test_glass_and_a_panel_are_not_cut(tall, arid):
    """The glass front, and the back behind its panel."""
    assert not can_be_cut(tall.plan, tall.library, "front")
    assert not can_be_cut(tall.plan, tall.library, "back")
    assert can_be_cut(tall.plan, tall.library, "right")
    assert can_be_cut(arid.plan, arid.library, "back")
