"""Air through openings: handbook rows of stack flow, balance, and what meshes and gaps cost."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.physics.openings import (
    Loss,
    gap_loss,
    hole_loss,
    level_exchange,
    mesh_loss,
    speed_through,
    stack_flow,
)

ONE = 101_325.0


def density(celsius):
    return ONE / (287.042 * (celsius + 273.15))


def two_holes(area, apart, inside, outside, discharge):
    edges = np.array([0.0, apart])
    losses = (hole_loss(discharge),) * 2
    return stack_flow(edges, np.full(2, area), losses, edges, np.array([density(inside)]), density(outside))


@pytest.mark.parametrize(
    ("discharge", "area", "height", "inside", "outside", "flow"),
    # Reference physics 5.3, Q = C A sqrt(2 g h (Ti - To) / Ti): computed there from the formula of ASHRAE, which is
    # verified second-hand. One opening of the pair is so wide that it costs nothing.
    [(0.65, 1.0, 3.0, 25.0, 15.0, 0.9133), (0.65, 0.01, 0.6, 30.0, 20.0, 4.0505e-3)],
)
def test_the_handbooks_stack_flow(discharge, area, height, inside, outside, flow):
    """The formula takes one density for both sides; the two differ by 3 % at 10 K, the flow by half of that."""
    edges = np.array([0.0, height])
    losses = (hole_loss(discharge),) * 2
    flows, _ = stack_flow(
        edges, np.array([1e4 * area, area]), losses, edges, np.array([density(inside)]), density(outside)
    )
    assert flows[1] == pytest.approx(flow, rel=0.02)


def test_two_equal_holes_in_series():
    """Reference physics 5.3 (computed there): A / sqrt 2 with C 0.6, 0.6 m, 30/20 degC: 2.6438e-3 m3/s."""
    flows, neutral = two_holes(0.01, 0.6, 30.0, 20.0, 0.6)
    assert flows[1] == pytest.approx(2.6438e-3, rel=0.02)
    assert flows.sum() == pytest.approx(0.0, abs=1e-9)
    assert neutral == pytest.approx(0.3, abs=1e-3)


def test_the_pressure_of_a_warm_column():
    """Reference physics 5.3 (computed there): 3463 h (1/To - 1/Ti) is 0.234 Pa for 0.6 m, 30/20 degC."""
    head = 9.80665 * (density(20.0) - density(30.0)) * 0.6
    assert head == pytest.approx(0.234, abs=0.001)


@given(
    st.lists(st.tuples(st.floats(0.0, 2.0), st.floats(1e-5, 0.5)), min_size=1, max_size=12),
    st.lists(st.floats(-10.0, 60.0), min_size=2, max_size=12),
)
def test_what_enters_leaves(openings, layers):
    """Volumes add up to nothing whatever the openings and however the air is layered, cooler inside too."""
    edges = np.linspace(0.0, 2.0, len(layers) + 1)
    heights, areas = (np.array(column) for column in zip(*openings, strict=True))
    losses = tuple(mesh_loss(0.4, 2e-4) for _ in openings)
    flows, _ = stack_flow(
        heights, areas, losses, edges, np.array([density(t) for t in layers]), density(20.0)
    )
    assert np.isfinite(flows).all()
    assert abs(flows.sum()) < 1e-8


@given(st.floats(1e-6, 50.0), st.floats(0.0, 40.0), st.floats(1e-9, 50.0))
def test_a_speed_costs_its_pressure(pressure, linear, square):
    """The speed found puts back the pressure: the root is exact at low speed as at high."""
    loss = Loss(square, linear)
    speed = speed_through(pressure, loss, 1.2)
    assert 0.6 * square * speed**2 + linear * speed == pytest.approx(pressure, rel=1e-9)
    assert speed_through(-pressure, loss, 1.2) == -speed


def test_a_mesh_lets_less_through_and_a_finer_one_less():
    """Friction rules at enclosure speeds: the same open share in finer wire costs more."""
    free, coarse, fine = hole_loss(), mesh_loss(0.5, 1e-3), mesh_loss(0.5, 2e-4)
    speeds = [speed_through(0.02, loss, 1.2) for loss in (free, coarse, fine)]
    assert speeds == sorted(speeds, reverse=True)
    # A screen of half open wire of 0.3 mm passes about half of what its hole would at 0.02 Pa (computed here).
    assert 0.3 < speed_through(0.02, mesh_loss(0.5, 3e-4), 1.2) / speeds[0] < 0.8


def test_a_gap_follows_poiseuille_at_low_speed():
    """Closed form between parallel walls: v = h^2 dp / (12 mu L)."""
    h, depth, pressure = 1e-3, 0.02, 1e-4
    assert speed_through(pressure, gap_loss(h, depth), 1.2) == pytest.approx(
        h**2 * pressure / (12 * 1.846e-5 * depth), rel=0.01
    )


def test_a_level_opening_swaps_by_its_size():
    """Epstein 1988 (from memory): Q / sqrt(g' D^5) is 0.055 for a hole in a thin plate."""
    area = np.pi / 4 * 0.3**2
    assert level_exchange(area, hole_loss().square) == pytest.approx(0.055 * 0.3**2.5)
    assert level_exchange(area, mesh_loss(0.4, 3e-4).square) < level_exchange(area, hole_loss().square)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: hole_loss(0.0),
        lambda: hole_loss(1.1),
        lambda: mesh_loss(0.0, 1e-3),
        lambda: mesh_loss(0.5, 0.0),
        lambda: gap_loss(0.0, 1.0),
        lambda: level_exchange(-1.0, 2.0),
        lambda: stack_flow(np.zeros(1), np.zeros(2), (hole_loss(),), np.zeros(2), np.ones(1), 1.2),
        lambda: stack_flow(np.array([np.nan]), np.ones(1), (hole_loss(),), np.arange(2.0), np.ones(1), 1.2),
    ],
)
def test_refusals(wrong):
    """Nonsense is refused with a word, not with NaN."""
    with pytest.raises(DomainError):
        wrong()
