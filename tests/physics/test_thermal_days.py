"""Days of a box: closed forms of one zone and of a slab, no drift, a ledger that closes, thermostats."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oracles.boxes import OF_AIR, ROOM, furnished, hours_lit, one_node, stored
from sunfleck.errors import DomainError
from sunfleck.physics.air_layers import Mixing, Vents
from sunfleck.physics.long_wave import GreyExchange
from sunfleck.physics.thermal_box import STEPS, Lamps, Room, Sun, Surfaces, ThermalBox, Thermostats
from sunfleck.physics.thermal_days import PERIODIC, State, periodic_day, resting_state, run_day

ZERO = 273.15
MINUTE = 60.0


def test_one_zone_warms_by_its_time_constant():
    """Closed form: T = room + P/U (1 - exp(-t U/C)); the air weighs next to nothing."""
    capacity, u, power = 40_000.0, 8.0, 60.0
    box = one_node(capacity, u, power=power)
    day = run_day(box, resting_state(box))
    minutes = (np.arange(1440) + 1) * MINUTE
    wanted = ROOM + power / u * (1 - np.exp(-minutes * u / (capacity + 0.02 * OF_AIR)))
    assert np.abs(day.cells[:, 0] - wanted).max() < 0.02
    # At the end of the day it is at rest, 7.5 K up.
    assert day.cells[-1, 0] - ROOM == pytest.approx(7.5, abs=1e-3)


def test_a_slab_follows_fourier():
    """Series solution of a slab with one side insulated after a step on the other (Carslaw and Jaeger, from memory)."""
    thick, diffusivity, density_heat, cells = 0.04, 1.5e-7, 1.1e6, 10
    conductivity, slice_ = diffusivity * density_heat, thick / cells
    capacity = np.full(cells, density_heat * slice_)
    onward = np.full(cells, conductivity / slice_)
    box = ThermalBox(
        np.array([0.0, 1.0]),
        np.ones(1),
        1.0,
        Vents.none(),
        Mixing(),
        Surfaces(
            np.zeros((1, 1)), np.zeros((1, 8)), np.full(1, np.nan), GreyExchange(np.zeros((1, 1)), np.zeros(1)),
            np.array([0, cells]), capacity, onward, np.array([2 * conductivity / slice_]),
        ),
        Lamps(np.zeros((STEPS, 0)), np.zeros(0), np.zeros(0), np.zeros(0), np.zeros((0, 1))),
        Thermostats.none(0, 1, 1),
        Sun.none(1),
        Room(np.full(STEPS, 310.0), np.zeros(STEPS)),
    )  # fmt: skip
    start = State(np.full(1, 310.0), np.zeros(1), np.full(cells, 300.0), np.zeros((0, 4)))
    day = run_day(box, start)
    depth = (np.arange(cells) + 0.5) * slice_
    for minute in (20, 60, 120):
        odd = (2 * np.arange(200) + 1) * np.pi / 2
        series = (
            2 * (-1.0) ** np.arange(200) / odd
            * np.cos(odd * depth[:, None] / thick)
            * np.exp(-(odd**2) * diffusivity * minute * MINUTE / thick**2)
        ).sum(axis=1)  # fmt: skip
        assert np.abs(day.cells[minute - 1] - (310.0 - 10.0 * series)).max() < 0.05


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_box_of_one_temperature_keeps_it(seed):
    """No lamp, no sun, the room as warm as the box: less than a millionth of a kelvin in a day."""
    box = furnished(seed, watts=0.0)
    day = run_day(box, resting_state(box))
    assert np.abs(day.air - ROOM).max() < 1e-6
    assert np.abs(day.cells - ROOM).max() < 1e-6
    assert day.sums[:, 4].max() < 1e-6


@settings(max_examples=15, deadline=None)
@given(st.integers(0, 999), st.floats(0.0, 2000.0), st.floats(0.0, 8.0), st.booleans(), st.integers(2, 6))
def test_the_ledger_closes_from_what_is_written(seed, watts, swing, vents, soil):
    """In = out + stored, recomputed from the written temperatures, levels and flows, to 0.1 % of what went in."""
    box = furnished(seed, watts=watts, swing=swing, vents=vents, soil=soil)
    day = run_day(box, resting_state(box))
    put_in = (day.level[:, 0] * (0.4 * watts + 0.6 * watts * box.lamps.share.sum())).sum() * MINUTE
    # Not the program's sums: heat by openings and walls from temperatures and flows.
    out = (
        day.sum_of("by_openings") + day.sum_of("through_walls") + day.sum_of("by_long_wave")
    ).sum() * MINUTE
    assert np.isfinite(day.cells).all()
    assert put_in - out == pytest.approx(
        stored(box, day.end) - stored(box, day.start), abs=1e-3 * max(put_in, abs(out), 1e4)
    )
    last = box.surfaces.first[1:] - 1
    by_hand = ((day.cells[:, last] - box.room.temperature[1::2, None]) * box.surfaces.to_room).sum(axis=1)
    assert day.sum_of("through_walls").mean() == pytest.approx(by_hand.mean(), abs=0.02 * max(1.0, watts))


@pytest.mark.parametrize("soil", [2, 5])
def test_a_periodic_day_ends_as_it_began(soil):
    """Start and end within 0.02 K, ground included, and the same day is found from a cold and from a hot start."""
    box = furnished(7, soil=soil, swing=4.0)
    found = periodic_day(box)
    assert found.drift <= PERIODIC
    assert np.abs(found.end.cells - found.start.cells).max() <= PERIODIC
    hot = resting_state(box)
    hot = hot.with_warmth(hot.warmth + 25.0)
    again = periodic_day(box, hot)
    assert np.abs(again.cells - found.cells).max() < 5 * PERIODIC
    print(f"ground of {soil} cells: {found.days} days from the room, {again.days} from 25 K above")


def test_another_room_keeps_the_excess():
    """Closed form: with a constant film T - room depends on the watts only, so the day carried over repeats itself at once."""
    box = one_node(40_000.0, 8.0, power=60.0)
    warmer = replace(box, room=Room(box.room.temperature + 6.5, box.room.humidity + 0.002))
    found = periodic_day(box, tolerance=1e-7)
    again = periodic_day(warmer, found.end.carried_over(box.room, warmer.room), tolerance=1e-6)
    assert again.days == 1
    assert np.abs(again.cells - found.cells - 6.5).max() < 1e-6
    assert np.abs(again.vapour - 0.010).max() < 1e-12


def test_it_is_found_sooner_than_by_waiting():
    """Ground that settles by an e-fold in days: the acceleration must beat running day after day."""
    box = furnished(7, soil=6)
    heavy = box.surfaces.capacity.copy()
    heavy[:6] *= 8.0
    box = replace(box, surfaces=replace(box.surfaces, capacity=heavy))
    found = periodic_day(box)
    state, waited = resting_state(box), 0
    while waited < 200:
        day = run_day(box, state)
        state, waited = day.end, waited + 1
        if day.drift <= PERIODIC:
            break
    print(f"{found.days} days instead of {waited}")
    assert found.days < waited / 2
    assert found.drift <= PERIODIC


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 99), st.floats(5.0, 200.0), st.floats(1.1, 3.0))
def test_more_watts_are_never_cooler(seed, watts, more):
    """Dry, without thermostat, mean of the volume and of the day: never cooler with more watts."""
    means = [periodic_day(furnished(seed, watts=w)).air.mean() for w in (watts, more * watts)]
    assert means[1] > means[0] > ROOM - 1e-6


@settings(max_examples=10, deadline=None)
@given(st.integers(0, 99), st.floats(5.0, 200.0), st.floats(0.2, 0.9))
def test_better_walls_are_never_cooler_when_warmer_than_the_room(seed, watts, less):
    """Mean of the volume and of the day, dry, lamps only."""
    means = [periodic_day(furnished(seed, watts=watts, u=u)).air.mean() for u in (1.0, less)]
    assert means[1] > means[0]


def thermostat(box, kind, target, *, cut_out=np.inf):
    """The lamp of a box driven by the air at mid height."""
    none = Thermostats.none(1, len(box.volume), len(box.surfaces))
    weights = np.zeros((2, len(box.volume)))
    weights[:, len(box.volume) // 2] = 1.0
    driven = replace(
        none, kind=np.array([kind]), target=np.array([target]), cut_out=np.array([cut_out]), of_layers=weights,
        lag=np.full(2, 120.0),
    )  # fmt: skip
    return replace(box, thermostats=driven, lamps=replace(box.lamps, timer=hours_lit(0, 24)))


@pytest.mark.parametrize("kind", [1, 2, 3])
def test_a_thermostat_holds_its_probe(kind):
    """On and off within its band and the lag of the probe, pulse and dimming within half a degree."""
    box = thermostat(furnished(3, watts=300.0), kind, ROOM + 3.0)
    day = periodic_day(box)
    reading = day.air[600:, 5] - ROOM
    assert reading.mean() == pytest.approx(3.0, abs=0.5)
    assert 0.02 < day.level[600:].mean() < 0.98
    if kind == 1:
        assert set(np.unique(day.level.round(6))) <= {0.0, 0.5, 1.0}
    else:
        assert np.ptp(reading) < 0.6


def test_a_cut_out_opens_whatever_the_thermostat_asks():
    """A thermostat set far too high: the cut-out holds the box below what the lamp would make of it."""
    free = periodic_day(thermostat(furnished(3, watts=300.0), 1, ROOM + 60.0))
    saved = periodic_day(thermostat(furnished(3, watts=300.0), 1, ROOM + 60.0, cut_out=ROOM + 4.0))
    assert free.air[:, 5].max() > ROOM + 6.0
    assert saved.air[:, 5].max() < ROOM + 5.5
    assert saved.level.mean() < free.level.mean()


def test_vapour_goes_with_the_air():
    """Nothing wets the box: after a day its air is as moist as the room's."""
    box = furnished(4)
    start = resting_state(box)
    start.vapour[:] = 0.02
    day = run_day(box, start)
    assert day.vapour[-1] == pytest.approx(0.008, abs=1e-5)
    assert (np.diff(day.vapour.mean(axis=1)) <= 1e-12).all()


@pytest.mark.parametrize(("watts", "room"), [(2000.0, ROOM), (0.0, 243.15), (2000.0, 323.15), (50.0, 243.15)])
def test_the_absurd_stays_finite(watts, room):
    """2,000 W in a box, a room of -30 or 50 degC: numbers, not NaN."""
    day = periodic_day(furnished(5, watts=watts, room=room, vents=False))
    assert np.isfinite(day.air).all()
    assert np.isfinite(day.cells).all()
    assert day.days <= 60


def test_refusals():
    """A state of another box, shapes that disagree, tolerances of nothing."""
    box, other = furnished(1), one_node(1e4, 1.0)
    with pytest.raises(DomainError, match="start must have"):
        run_day(box, resting_state(other))
    with pytest.raises(DomainError, match="above zero"):
        periodic_day(box, tolerance=0.0)
    with pytest.raises(DomainError, match="shape"):
        replace(box, edges=box.edges[:-1])
    with pytest.raises(DomainError, match="finite"):
        replace(box, room=Room(np.full(STEPS, np.nan), box.room.humidity))
