"""Air in layers: emptying filling-box, a flow computation, conservation, plumes."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from sunfleck.errors import DomainError
from sunfleck.physics.air_kernels import solve_rising
from sunfleck.physics.air_layers import (
    CONDUCTIVITY,
    ENTRAINMENT,
    VIRTUAL_ORIGIN,
    Mixing,
    Vents,
    plume_excess,
    plume_flow,
    plume_shapes,
    settled_air,
)
from sunfleck.physics.openings import hole_loss, level_exchange

ROOM = 294.15
HIGH, FLOOR = 1.2, 0.86
NO_SURFACE = (np.zeros((0, 1)), np.zeros(0))


def sealed_films(layers, u=3.0, width=1.22, depth=0.71, height=1.22):
    """Walls, floor and ceiling of one U-value straight to the room."""
    film = np.full((1, layers), u * 2 * (width + depth) * height / layers)
    film[0, [0, -1]] += u * width * depth
    return film


def interface_of(area, layers, discharge=0.6, watts=20.0):
    """Height of the interface of an emptying filling box: by Linden and by the layers. [m]"""
    factor = 6 / 5 * ENTRAINMENT * (9 / 10 * ENTRAINMENT) ** (1 / 3) * np.pi ** (2 / 3)
    # A* of two equal openings of one discharge coefficient.
    effective = discharge * area
    share = brentq(lambda x: effective / (HIGH**2 * factor**1.5) - (x**5 / (1 - x)) ** 0.5, 1e-6, 1 - 1e-9)
    edges = np.linspace(0.0, HIGH, layers + 1)
    vents = Vents.of(edges, [0.0, HIGH], [area, area], (hole_loss(discharge),) * 2, [0.0, 0.0])
    still = Mixing(ENTRAINMENT, 0.0, 0.0)
    air = settled_air(edges, FLOOR, vents, [0.0], [watts], np.zeros((0, layers)), [], ROOM, still)
    excess = air.temperature - ROOM
    return share * HIGH, HIGH - excess.sum() * HIGH / layers / excess[-1]


@pytest.mark.parametrize("area", [0.004, 0.01, 0.03])
def test_an_emptying_filling_box(area):
    """Linden, Lane-Serff and Smeed 1990: A*/(H^2 C^1.5) = (x^5 / (1 - x))^(1/2); entrainment 0.1, origin in the source.

    The layers are at most one layer off at 10, 20 and 40 of them, and less the more there are.
    """
    errors = []
    for layers in (10, 20, 40):
        wanted, found = interface_of(area, layers)
        assert abs(found - wanted) <= HIGH / layers
        errors.append(abs(found - wanted))
    print(f"{area} m2: off by {[f'{1000 * error:.1f} mm' for error in errors]}")
    assert errors == sorted(errors, reverse=True)


def test_the_interface_does_not_ask_for_the_watts():
    """Closed form: its height follows from the openings alone."""
    assert interface_of(0.01, 20, watts=5.0)[1] == pytest.approx(
        interface_of(0.01, 20, watts=80.0)[1], abs=0.01
    )


@pytest.mark.parametrize(
    ("vented", "wanted"),
    [
        (False, [0.0, 0.0, 0.0, 0.3, 1.5, 2.5, 4.0, 5.5]),
        (True, [0.0, 0.0, 0.0, 0.0, 0.4, 1.5, 3.0, 4.5]),
    ],
)
def test_against_a_flow_computation(vented, wanted):
    """A fine-grid flow solution of one box, excess over the room by eighths: computed by ourselves, not measured.

    1.22 x 0.71 x 1.22 m, U 3, 30 W on a branch at mid height, 10 W at the ceiling; two vents of 90 cm2, or none.
    """
    edges = np.linspace(0.0, 1.22, 9)
    vents = Vents.none()
    if vented:
        vents = Vents.of(edges, [0.05, 1.17], [0.009, 0.009], (hole_loss(),) * 2, [0.0, 0.0])
    air = settled_air(edges, 1.22 * 0.71, vents, [0.61, 1.2], [30.0, 10.0], sealed_films(8), [ROOM], ROOM)
    off = air.temperature - ROOM - np.array(wanted)
    print(f"vented {vented}: off by {off.round(2).tolist()} K, rms {np.sqrt((off**2).mean()):.2f} K")
    assert np.sqrt((off**2).mean()) < (0.35 if vented else 0.2)
    assert np.abs(off).max() < 0.6
    if vented:
        # 1.4-1.6 L/s there.
        assert 1.1e-3 < air.flows.max() < 1.7e-3


@settings(max_examples=30, deadline=None)
@given(
    st.lists(st.tuples(st.floats(0.0, 1.2), st.floats(0.0, 300.0)), min_size=1, max_size=4),
    st.floats(0.0, 0.05),
    st.floats(0.0, 0.2),
    st.integers(8, 20),
)
def test_heat_is_neither_made_nor_lost(sources, side, top, layers):
    """What sources give leaves by openings and walls, whatever the openings, at rest and on the way to it."""
    edges = np.linspace(0.0, HIGH, layers + 1)
    heights, watts = (np.array(column) for column in zip(*sources, strict=True))
    loss = hole_loss()
    vents = Vents.of(edges, [0.1, HIGH], [side, top], (loss, loss), [0.0, level_exchange(top, loss.square)])
    film = sealed_films(layers)
    air = settled_air(edges, FLOOR, vents, heights, watts, film, [ROOM], ROOM, steps=4000)
    assert np.isfinite(air.temperature).all()
    # 22 h: what is left to warm is nothing.
    assert air.leaving - air.given.sum() == pytest.approx(watts.sum(), rel=0.01, abs=1e-6)
    assert air.temperature.min() > ROOM - 1e-6


def test_a_fan_moves_what_it_moves():
    """Closed form: the flow that a fan forces carries the watts, whatever the stack; what it moves comes in elsewhere."""
    edges, flow, watts = np.linspace(0.0, HIGH, 11), 0.01, 60.0
    vents = Vents.of(edges, [1.1, 0.1], [0.0064, 0.02], (hole_loss(),) * 2, [0.0, 0.0], [flow, 0.0])
    air = settled_air(edges, FLOOR, vents, [0.3], [watts], np.zeros((0, 10)), [], ROOM)
    assert air.flows == pytest.approx([flow, -flow], rel=1e-6)
    capacity = 101_325 / (287.042 * 295.0) * 1006.0
    layer = vents.layer[0]
    assert air.temperature[layer] - ROOM == pytest.approx(watts / (capacity * flow), rel=1e-3)
    blown_in = Vents.of(edges, [1.1, 0.1], [0.0064, 0.02], (hole_loss(),) * 2, [0.0, 0.0], [-flow, 0.0])
    assert settled_air(edges, FLOOR, blown_in, [0.3], [watts], np.zeros((0, 10)), [], ROOM).flows[1] > 0
    alone = Vents.of(edges, [1.1], [0.0064], (hole_loss(),), [0.0], [flow])
    assert settled_air(edges, FLOOR, alone, [0.3], [0.0], sealed_films(10), [ROOM], ROOM).flows[0] == 0.0


def test_more_watts_are_never_cooler_on_the_whole():
    """Held for the mean of the volume; the lowest layer may cool, because more fresh air comes in."""
    edges = np.linspace(0.0, HIGH, 11)
    vents = Vents.of(edges, [0.1, 1.1], [0.01, 0.01], (hole_loss(),) * 2, [0.0, 0.0])
    means = [
        settled_air(edges, FLOOR, vents, [0.3], [w], sealed_films(10), [ROOM], ROOM).temperature.mean()
        for w in (0.0, 5.0, 20.0, 60.0, 200.0)
    ]
    assert means[0] == pytest.approx(ROOM, abs=1e-9)
    assert means == sorted(means)


def test_a_plume_follows_morton_taylor_and_turner():
    """Closed form: flow with the cube root of the power and the power 5/3 of the height over the virtual origin."""
    assert plume_flow(80.0, 0.5) / plume_flow(10.0, 0.5) == pytest.approx(2.0)
    point = Mixing(ENTRAINMENT, 0.0, CONDUCTIVITY)
    assert plume_flow(10.0, 0.8, mixing=point) / plume_flow(10.0, 0.4, mixing=point) == pytest.approx(
        2 ** (5 / 3)
    )
    # C = 6/5 a (9/10 a)^(1/3) pi^(2/3) for a = 0.1 is 0.1153 (computed).
    buoyancy = 9.80665 * 10.0 / (101_325 / 287.042 * 1006.0)
    assert plume_flow(10.0, 1.0, mixing=point) == pytest.approx(0.11535 * buoyancy ** (1 / 3), rel=1e-3)
    assert plume_excess(0.0, 0.5) == 0.0
    capacity = 101_325 / (287.042 * 300.0) * 1006.0
    assert plume_excess(30.0, 0.4) * plume_flow(30.0, 0.4) * capacity == pytest.approx(30.0)


def test_what_a_plume_takes_in_adds_up_to_its_flow():
    """The increments over the layers are the flow at the top, what it has at its source among them."""
    edges = np.linspace(0.0, HIGH, 13)
    layer, shape = plume_shapes(edges, [0.0, 0.33, HIGH], Mixing())
    assert layer.tolist() == [0, 3, 11]
    above = HIGH - np.array([0.0, 0.33, HIGH]) + VIRTUAL_ORIGIN
    assert shape.sum(axis=1) == pytest.approx(above ** (5 / 3))
    assert (shape >= 0).all()


def test_refusals():
    """Edges that do not rise, surfaces that do not match, powers below zero."""
    edges = np.linspace(0.0, 1.0, 4)
    with pytest.raises(DomainError, match="edges must rise"):
        settled_air([0.0, 0.0, 1.0], 1.0, Vents.none(), [0.0], [1.0], np.zeros((0, 2)), [], ROOM)
    with pytest.raises(DomainError, match="same surfaces"):
        settled_air(edges, 1.0, Vents.none(), [0.0], [1.0], np.zeros((1, 3)), [], ROOM)
    with pytest.raises(DomainError, match="below zero"):
        plume_flow(-1.0, 0.5)


@given(st.integers(1, 16), st.integers(0, 9999))
def test_layers_that_send_air_up_far_and_down_by_one(n, seed):
    """The system of a step against numpy's solver for any system, to 1e-12 of its answer."""
    rng = np.random.default_rng(seed)
    sends = -np.triu(rng.uniform(0.0, 1.0, (n, n)), -1) * (rng.random((n, n)) < 0.6)
    np.fill_diagonal(sends, 0.0)
    np.fill_diagonal(sends, rng.uniform(1e-3, 1.0, n) - sends.sum(axis=1))
    right = rng.uniform(0.0, 300.0, n)
    wanted = np.linalg.solve(sends.T, right)
    solve_rising(sends, right)
    assert np.abs(right - wanted).max() <= 1e-12 * np.abs(wanted).max()
