"""Compiled steps of the air in layers: flow through openings, plumes, and one implicit step of heat and vapour."""

from __future__ import annotations

from math import sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

GRAVITY = 9.80665
# Dry air; what vapour does to density is in `DENSITY_OF_VAPOUR`. [J kg-1 K-1]
GAS = 287.042
DENSITY_OF_VAPOUR = 0.6078
HEAT_OF_AIR = 1006.0
# The heat that a volume of air holds is taken at this temperature, whatever it has: heat is neither made nor lost. [K]
REFERENCE = 295.0
# A balance of volumes is found to this, far below a draught that anybody could measure. [m3 s-1]
FLOW_FOUND = 1e-10
STEPS_OF_PRESSURE = 60
# More than any small fan builds up across the gaps of a box. [Pa]
FAN_PRESSURE = 500.0
# A plume goes on through a layer that is warmer by no more: its momentum carries it. [K]
CARRIED_OVER = 0.05
# An unstable pair of layers turns over with this share of free fall over one layer. [-]
TURN_OVER = 0.3
# Differences of water by mass over dry air that nobody can measure. [-]
AS_MOIST = 1e-9
# A surface feeds its plume as long as the plume takes in so many times the heat flow; else the air beside it. [-]
MOST_FED = 0.5


@kernel
def flow_speed(pressure: float, square: float, linear: float) -> float:
    """Mean speed [m s-1] through an opening whose loss is square v^2 + linear v, with the sign of `pressure` [Pa]."""
    size = abs(pressure)
    speed = 2.0 * size / (linear + sqrt(linear * linear + 4.0 * square * size) + 1e-300)
    return speed if pressure >= 0.0 else -speed


@kernel
def heads_at(density: Floats, outside: float, edges: Floats, heights: Floats, head: Floats) -> None:
    """Fill `head` (o,) with how much pressure inside gains on outside from the floor up to each opening. [Pa]"""
    for o in range(len(heights)):
        total = 0.0
        for k in range(len(density)):
            top = min(edges[k + 1], heights[o])
            if top <= edges[k]:
                break
            total += (outside - density[k]) * (top - edges[k])
        head[o] = GRAVITY * total


@kernel
def balanced_flows(
    head: Floats,
    area: Floats,
    square: Floats,
    linear: Floats,
    forced: Floats,
    start: float,
    out: Floats,
) -> float:
    """Fill `out` (o,) with flows out of the box that add up to nothing; return the pressure at the floor. [m3 s-1], [Pa]

    `forced` (o,): what a fan moves through an opening whatever the pressure, out above zero; 0 of open ones.
    """
    count = len(head)
    if count == 0:
        return 0.0
    low, high = -head.max(), -head.min()
    for o in range(count):
        if forced[o] != 0.0:
            low, high = low - FAN_PRESSURE, high + FAN_PRESSURE
            break
    pressure = float(min(max(start, low), high))
    for _ in range(STEPS_OF_PRESSURE):
        total, slope = 0.0, 0.0
        for o in range(count):
            if forced[o] != 0.0:
                out[o] = forced[o]
                total += out[o]
                continue
            p = pressure + head[o]
            speed = flow_speed(p, square[o], linear[o])
            out[o] = area[o] * speed
            total += out[o]
            slope += area[o] / (linear[o] + 2.0 * square[o] * abs(speed) + 1e-12)
        if abs(total) < FLOW_FOUND or high - low < 1e-13:
            break
        if total > 0.0:
            high = pressure
        else:
            low = pressure
        pressure -= total / max(slope, 1e-12)
        if not low < pressure < high:
            pressure = 0.5 * (low + high)
    return float(pressure)


@kernel
def close_balance(out: Floats) -> None:
    """Take the last rounding out of flows (o,), in proportion, so that they add up to nothing."""
    gone, come = 0.0, 0.0
    for o in range(len(out)):
        if out[o] > 0.0:
            gone += out[o]
        else:
            come -= out[o]
    if gone <= 0.0 or come <= 0.0:
        out[:] = 0.0
        return
    through = sqrt(gone * come)
    for o in range(len(out)):
        out[o] *= through / gone if out[o] > 0.0 else through / come


@kernel
def solve_in_place(matrix: Floats, right: Floats) -> None:
    """Solve a diagonally dominant system (n, n) for `right` (n,), which becomes the answer."""
    n = len(right)
    for i in range(n):
        for j in range(i + 1, n):
            if matrix[j, i] != 0.0:
                factor = matrix[j, i] / matrix[i, i]
                for k in range(i + 1, n):
                    matrix[j, k] -= factor * matrix[i, k]
                right[j] -= factor * right[i]
    for i in range(n - 1, -1, -1):
        total = right[i]
        for k in range(i + 1, n):
            total -= matrix[i, k] * right[k]
        right[i] = total / matrix[i, i]


@kernel
def layers_touched(contact: Floats) -> Ints:
    """First layer that each surface (s, n) has area in, and the one after the last, (s, 2). [-]"""
    sheets, n = contact.shape
    found = np.zeros((sheets, 2), dtype=np.int64)
    for s in range(sheets):
        found[s, 0] = n
        for k in range(n):
            if contact[s, k] > 0.0:
                found[s, 0] = min(found[s, 0], k)
                found[s, 1] = k + 1
    return found


@kernel
def plume_flow_factor(entrainment: float) -> float:
    """The factor C of a plume's flow, C B^(1/3) z^(5/3). [-]"""
    return float(6.0 / 5.0 * entrainment * (9.0 / 10.0 * entrainment) ** (1.0 / 3.0) * np.pi ** (2.0 / 3.0))


@kernel
def rise(source: int, power: float, entrained: Floats, temperature: Floats, heat_of_volume: float) -> int:
    """Layer in which a plume ends: the top one, or the last below a layer warmer than itself."""
    n = len(temperature)
    flow, heat = 0.0, power / heat_of_volume
    for k in range(source, n):
        flow += entrained[k]
        heat += entrained[k] * temperature[k]
        if k + 1 < n and flow > 0.0 and temperature[k + 1] > heat / flow + CARRIED_OVER:
            return k
    return n - 1


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
) -> tuple[float, float, float]:
    """One implicit step of the air; returns the neutral pressure, the heat that leaves by openings and the exchange.

    `column`: edges (n + 1,), volume (n,). `vents`: layer (o,), height, area, loss by the square and by the first
    power of the speed, exchange (m2.5 of a level opening), what a fan moves. `plumes`: source layer (m,), entrainment
    shape (m, n). `mixing`: entrainment, conductivity, floor area. `room`: temperature, humidity ratio, air pressure.
    `power` (m,): of each plume [W]. `surfaces`: conductance to layers (s, n) [W K-1], the plume that a surface feeds or
    -1 (s,), temperature (s,) [K], first layer touched and the one after the last (s, 2). `before`: the step [s] and the
    neutral pressure of the step before [Pa]. `state`: temperature and vapour (n,) before, and after. `written`: flows
    (o,) and what each surface gives the air (s,) [W].
    """
    edges, volume = column
    layer, height, area, loss, linear, exchange, forced = vents
    source, shape = plumes
    entrainment, conductivity, floor = mixing
    outside, moist_outside, pressure = room
    film, feeds, warmth, touched = surfaces
    step, neutral = before
    temperature, vapour = state
    flows, given = written
    n, sheets = len(volume), len(warmth)
    density = np.empty(n)
    for k in range(n):
        density[k] = pressure / (GAS * temperature[k] * (1.0 + DENSITY_OF_VAPOUR * vapour[k]))
    of_room = pressure / (GAS * outside * (1.0 + DENSITY_OF_VAPOUR * moist_outside))
    heat = pressure / (GAS * REFERENCE) * HEAT_OF_AIR  # per volume and degree

    # Through openings.
    head = np.empty(len(layer))
    heads_at(density, of_room, edges, height, head)
    neutral = balanced_flows(head, area, loss * (0.5 * of_room), linear, forced, neutral, flows)
    close_balance(flows)
    swapped = 0.0
    lighter = (of_room - density[n - 1]) / of_room
    if lighter > 0.0:
        for o in range(len(layer)):
            if exchange[o] > 0.0:
                full = exchange[o] * sqrt(GRAVITY * lighter)
                swapped += max(0.0, full - abs(flows[o]))

    # What each plume takes in, and where it ends.
    count = len(source)
    taken = np.zeros((count, n))
    ends = np.zeros(count, dtype=np.int64)
    strength = np.zeros(count)
    for m in range(count):
        strength[m] = power[m]
    for s in range(sheets):
        if feeds[s] >= 0:
            for k in range(touched[s, 0], touched[s, 1]):
                strength[feeds[s]] += film[s, k] * (warmth[s] - temperature[k])
    factor = plume_flow_factor(entrainment)
    for m in range(count):
        ends[m] = source[m]
        if strength[m] <= 0.0:
            continue
        buoyancy = GRAVITY * strength[m] / (heat * temperature[source[m]])
        for k in range(source[m], n):
            taken[m, k] = factor * buoyancy ** (1.0 / 3.0) * shape[m, k]
        ends[m] = rise(source[m], strength[m], taken[m], temperature, heat)
        for k in range(ends[m] + 1, n):
            taken[m, k] = 0.0

    # Volumes: what enters a layer on balance goes up through its top.
    net = np.zeros(n)
    inward, outward = np.zeros(n), np.zeros(n)
    for o in range(len(layer)):
        if flows[o] > 0.0:
            outward[layer[o]] += flows[o]
        else:
            inward[layer[o]] -= flows[o]
    for k in range(n):
        net[k] = inward[k] - outward[k]
    for m in range(count):
        for k in range(source[m], ends[m] + 1):
            net[k] -= taken[m, k]
            net[ends[m]] += taken[m, k]

    still = np.zeros((n, n))
    right, wet = np.zeros(n), np.zeros(n)
    for k in range(n):
        stored = volume[k] / step
        still[k, k] += stored + outward[k]
        right[k] += stored * temperature[k] + inward[k] * outside
        wet[k] += stored * vapour[k] + inward[k] * moist_outside
    still[n - 1, n - 1] += swapped
    right[n - 1] += swapped * outside
    wet[n - 1] += swapped * moist_outside
    up = 0.0
    for k in range(n - 1):
        up += net[k]
        thick = 0.5 * (edges[k + 2] - edges[k])
        mixed = conductivity * floor / thick / heat
        excess = temperature[k] - temperature[k + 1]
        if excess > 0.0:
            mixed += TURN_OVER * floor * sqrt(GRAVITY * excess / outside * thick)
        above, below = mixed + max(0.0, -up), mixed + max(0.0, up)
        still[k, k] += below
        still[k + 1, k] -= below
        still[k + 1, k + 1] += above
        still[k, k + 1] -= above
    for m in range(count):
        for k in range(source[m], ends[m] + 1):
            still[k, k] += taken[m, k]
            still[ends[m], k] -= taken[m, k]
    warm = still.copy()
    for m in range(count):
        right[ends[m]] += power[m] / heat
    for s in range(sheets):
        for k in range(touched[s, 0], touched[s, 1]):
            if film[s, k] > 0.0:
                part = film[s, k] / heat
                fed, plume = k, feeds[s]
                # A warm surface gives its heat to the plume above it, if that takes in enough air to carry it.
                if plume >= 0 and strength[plume] > 0.0 and part < MOST_FED * taken[plume, k]:
                    fed = ends[plume]
                warm[fed, k] += part
                right[fed] += part * warmth[s]
    solve_in_place(warm, right)
    # Air as moist as the room everywhere stays so: nothing wets it yet.
    if np.abs(vapour - moist_outside).max() > AS_MOIST:
        solve_in_place(still, wet)
    else:
        wet[:] = moist_outside
    leaving = heat * swapped * (right[n - 1] - outside)
    for k in range(n):
        leaving += heat * outward[k] * (right[k] - outside)
        temperature[k] = right[k]
        vapour[k] = wet[k]
    for s in range(sheets):
        given[s] = 0.0
        for k in range(touched[s, 0], touched[s, 1]):
            given[s] += film[s, k] * (warmth[s] - temperature[k])
    return neutral, leaving, swapped
