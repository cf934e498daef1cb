"""Compiled steps of the air in layers: openings, plumes, mixing, and one implicit step of heat and vapour."""

from __future__ import annotations

from math import sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel
from sunfleck.physics.opening_kernels import GRAVITY, balanced_flows, close_balance, heads_at

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

# Dry air; what vapour does to density is in `DENSITY_OF_VAPOUR`. [J kg-1 K-1]
GAS = 287.042
DENSITY_OF_VAPOUR = 0.6078
HEAT_OF_AIR = 1006.0
# The heat that a volume of air holds is taken at this temperature, whatever it has: heat is neither made nor lost. [K]
REFERENCE = 295.0
# A plume goes on through a layer that is warmer by no more: its momentum carries it. [K]
CARRIED_OVER = 0.05
# An unstable pair of layers turns over with this share of free fall over one layer. [-]
TURN_OVER = 0.3
# Differences of water by mass over dry air that nobody can measure. [-]
AS_MOIST = 1e-9
# A surface feeds its plume as long as the plume takes in so many times the heat flow; else the air beside it. [-]
MOST_FED = 0.5


@kernel
def solve_rising(sends: Floats, right: Floats) -> None:
    """Solve for `right` (n,) a system in which air goes up by any number of layers but down by one only.

    `sends[k, j]` is what the equation of layer j takes of layer k; 0 where j + 1 < k, and of greater weight on the
    diagonal than off it, row by row. Both become something else, `right` the answer.
    """
    n = len(right)
    for k in range(n - 1):
        once = 1.0 / sends[k, k]
        back, own = sends[k + 1, k] * once, right[k] * once
        for j in range(k + 1, n):
            sends[k + 1, j] -= sends[k, j] * back
            right[j] -= sends[k, j] * own
    right[n - 1] /= sends[n - 1, n - 1]
    for k in range(n - 2, -1, -1):
        right[k] = (right[k] - sends[k + 1, k] * right[k + 1]) / sends[k, k]


@kernel
def spans(weights: Floats) -> Ints:
    """First column above zero of each row of (s, n), and the one after the last, (s, 2); both n of a row without. [-]"""
    rows, n = weights.shape
    found = np.full((rows, 2), n, dtype=np.int64)
    for s in range(rows):
        for k in range(n):
            if weights[s, k] > 0.0:
                found[s, 0] = min(found[s, 0], k)
                found[s, 1] = k + 1
    return found


@kernel
def plume_flow_factor(entrainment: float) -> float:
    """The factor C of a plume's flow, C B^(1/3) z^(5/3). [-]"""
    return float(6.0 / 5.0 * entrainment * (9.0 / 10.0 * entrainment) ** (1.0 / 3.0) * np.pi ** (2.0 / 3.0))


@kernel
def rise(
    plume: int, source: int, power: float, taken: Floats, temperature: Floats, heat_of_volume: float
) -> int:
    """Layer in which one of the plumes ends: the top one, or the last below a layer warmer than itself."""
    n = len(temperature)
    flow, heat = 0.0, power / heat_of_volume
    for k in range(source, n):
        flow += taken[plume, k]
        heat += taken[plume, k] * temperature[k]
        if k + 1 < n and flow > 0.0 and (temperature[k + 1] - CARRIED_OVER) * flow > heat:
            return k
    return n - 1


@kernel
def workspace(
    layers: int, plumes: int, openings: int
) -> tuple[Floats, Floats, Floats, Floats, Floats, Ints, Floats]:
    """Arrays that :func:`air_step` works in, made once for many steps: making them takes as long as filling them."""
    return (
        np.zeros((2, layers, layers)),
        np.zeros((2, layers)),
        np.zeros((4, layers)),
        np.zeros((plumes, layers)),
        np.zeros(plumes),
        np.zeros(plumes, dtype=np.int64),
        np.zeros((2, openings)),
    )


@kernel
def plumes_rise(
    plumes: tuple[Ints, Floats],
    entrainment: float,
    heat: float,
    temperature: Floats,
    strength: Floats,
    taken: Floats,
    ends: Ints,
) -> None:
    """Fill what plumes (m,) take in from each layer (m, n), and the layers in which they end (m,). [m3 s-1], [-]

    `strength` (m,): heat that feeds each [W]. `heat`: of a volume of air [J m-3 K-1].
    """
    source, shape = plumes
    n = len(temperature)
    factor = plume_flow_factor(entrainment)
    for m in range(len(source)):
        first = source[m]
        ends[m] = first
        for k in range(first, n):
            taken[m, k] = 0.0
        if strength[m] <= 0.0:
            continue
        flow = factor * (GRAVITY * strength[m] / (heat * temperature[first])) ** (1.0 / 3.0)
        for k in range(first, n):
            taken[m, k] = flow * shape[m, k]
        ends[m] = rise(m, first, strength[m], taken, temperature, heat)
        for k in range(ends[m] + 1, n):
            taken[m, k] = 0.0


@kernel
def air_step(
    column: tuple[Floats, Floats],
    vents: tuple[Ints, Floats, Floats, Floats, Floats, Floats, Floats],
    plumes: tuple[Ints, Floats],
    mixing: tuple[float, float, float],
    room: tuple[float, float, float],
    power: Floats,
    surfaces: tuple[Floats, Ints, Floats, Ints],
    before: tuple[float, float],
    state: tuple[Floats, Floats],
    written: tuple[Floats, Floats],
    work: tuple[Floats, Floats, Floats, Floats, Floats, Ints, Floats],
) -> tuple[float, float, float]:
    """One implicit step of the air; returns the neutral pressure, the heat that leaves by openings and the exchange.

    `column`: edges (n + 1,), volume (n,). `vents`: layer (o,), height, area, loss by the square and by the first
    power of the speed, exchange (m2.5 of a level opening), what a fan moves. `plumes`: source layer (m,), entrainment
    shape (m, n). `mixing`: entrainment, conductivity, floor area. `room`: temperature, humidity ratio, air pressure.
    `power` (m,): of each plume [W]. `surfaces`: conductance to layers (s, n) [W K-1], the plume that a surface feeds or
    -1 (s,), temperature (s,) [K], first layer touched and the one after the last (s, 2). `before`: the step [s] and the
    neutral pressure of the step before [Pa]. `state`: temperature and vapour (n,) before, and after. `written`: flows
    (o,) and what each surface gives the air (s,) [W]. `work`: of :func:`workspace`.
    """
    edges, volume = column
    layer, height, area, loss, linear, exchange, forced = vents
    source, _ = plumes
    entrainment, conductivity, floor = mixing
    outside, moist_outside, pressure = room
    film, feeds, warmth, touched = surfaces
    step, neutral = before
    temperature, vapour = state
    flows, given = written
    systems, rights, by_layer, taken, strength, ends, by_opening = work
    n, sheets, count = len(volume), len(warmth), len(source)
    density, net, inward, outward = by_layer[0], by_layer[1], by_layer[2], by_layer[3]
    head, slope = by_opening[0], by_opening[1]
    sends, wets, right, wet = systems[0], systems[1], rights[0], rights[1]
    heat = pressure / (GAS * REFERENCE) * HEAT_OF_AIR  # per volume and degree
    a_volume = 1.0 / heat

    # Through openings.
    for k in range(n):
        density[k] = pressure / (GAS * temperature[k] * (1.0 + DENSITY_OF_VAPOUR * vapour[k]))
    of_room = pressure / (GAS * outside * (1.0 + DENSITY_OF_VAPOUR * moist_outside))
    heads_at(density, of_room, edges, height, head)
    neutral = balanced_flows(head, area, loss, linear, forced, of_room, neutral, flows, slope)
    close_balance(flows)
    swapped = 0.0
    lighter = (of_room - density[n - 1]) / of_room
    if lighter > 0.0:
        falls = sqrt(GRAVITY * lighter)
        for o in range(len(layer)):
            swapped += max(0.0, exchange[o] * falls - abs(flows[o]))

    # What each plume takes in, and where it ends.
    for m in range(count):
        strength[m] = power[m]
    for s in range(sheets):
        if feeds[s] >= 0:
            for k in range(touched[s, 0], touched[s, 1]):
                strength[feeds[s]] += film[s, k] * (warmth[s] - temperature[k])
    plumes_rise(plumes, entrainment, heat, temperature, strength, taken, ends)

    # Volumes: what enters a layer on balance goes up through its top.
    for k in range(n):
        inward[k], outward[k] = 0.0, 0.0
    for o in range(len(layer)):
        outward[layer[o]] += max(0.0, flows[o])
        inward[layer[o]] += max(0.0, -flows[o])
    for k in range(n):
        net[k] = inward[k] - outward[k]
    outward[n - 1] += swapped
    inward[n - 1] += swapped

    # Where the air of each layer goes, a row each.
    for k in range(n):
        stored = volume[k] / step
        for j in range(n):
            sends[k, j] = 0.0
        sends[k, k] = stored + outward[k]
        right[k] = stored * temperature[k] + inward[k] * outside
        wet[k] = stored * vapour[k] + inward[k] * moist_outside
    for m in range(count):
        if strength[m] > 0.0:
            end = ends[m]
            for k in range(source[m], end + 1):
                net[k] -= taken[m, k]
                net[end] += taken[m, k]
                sends[k, k] += taken[m, k]
                sends[k, end] -= taken[m, k]
    up = 0.0
    for k in range(n - 1):
        up += net[k]
        thick = 0.5 * (edges[k + 2] - edges[k])
        mixed = conductivity * floor / thick * a_volume
        excess = temperature[k] - temperature[k + 1]
        if excess > 0.0:
            mixed += TURN_OVER * floor * sqrt(GRAVITY * excess / outside * thick)
        above, below = mixed + max(0.0, -up), mixed + max(0.0, up)
        sends[k, k] += below
        sends[k, k + 1] -= below
        sends[k + 1, k + 1] += above
        sends[k + 1, k] -= above

    # Air as moist as the room everywhere stays so: nothing wets it yet.
    apart = 0.0
    for k in range(n):
        apart = max(apart, abs(vapour[k] - moist_outside))
    if apart > AS_MOIST:
        for k in range(n):
            for j in range(n):
                wets[k, j] = sends[k, j]
        solve_rising(wets, wet)
        for k in range(n):
            vapour[k] = wet[k]
    else:
        for k in range(n):
            vapour[k] = moist_outside
    for m in range(count):
        right[ends[m]] += power[m] * a_volume
    for s in range(sheets):
        plume = feeds[s]
        fed = plume >= 0 and strength[plume] > 0.0
        for k in range(touched[s, 0], touched[s, 1]):
            part = film[s, k] * a_volume
            # A warm surface gives its heat to the plume above it, if that takes in enough air to carry it.
            to = ends[plume] if fed and part < MOST_FED * taken[plume, k] else k
            sends[k, to] += part
            right[to] += part * warmth[s]
    solve_rising(sends, right)
    leaving = 0.0
    for k in range(n):
        leaving += heat * outward[k] * (right[k] - outside)
        temperature[k] = right[k]
    for s in range(sheets):
        given[s] = 0.0
        for k in range(touched[s, 0], touched[s, 1]):
            given[s] += film[s, k] * (warmth[s] - temperature[k])
    return neutral, leaving, swapped
