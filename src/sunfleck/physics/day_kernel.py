"""Compiled course of a day: surfaces, walls and ground in small steps, the air with each of them, controls."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel
from sunfleck.physics.air_kernels import air_step, layers_touched

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SIGMA = 5.670374419e-8
ON_OFF, PULSE, DIMMING = 1, 2, 3
# A cut-out lets its lamp burn again when it has cooled by so much. [K]
RESET = 3.0


@kernel
def asked_level(kind: int, reading: float, target: float, band: float, was: float) -> float:
    """Level, 0 to 1, that a thermostat asks for; a pulse is its share of the time."""
    if kind == ON_OFF:
        if reading > target + 0.5 * band:
            return 0.0
        if reading < target - 0.5 * band:
            return 1.0
        return 1.0 if was > 0.5 else 0.0
    return min(1.0, max(0.0, 0.5 + (target - reading) / band))


@kernel
def day_kernel(
    column: tuple[Floats, Floats],
    vents: tuple[Ints, Floats, Floats, Floats, Floats, Floats, Floats],
    plumes: tuple[Ints, Floats],
    mixing: tuple[float, float, float],
    surfaces: tuple[Floats, Floats, Ints, Floats, Floats],
    walls: tuple[Ints, Floats, Floats, Floats],
    lamps: tuple[Floats, Floats, Floats, Floats],
    sun: tuple[Floats, Floats],
    thermostats: tuple[Ints, Floats, Floats, Floats, Floats, Floats, Floats, Floats],
    room: tuple[Floats, Floats, float, float, int],
    state: tuple[Floats, Floats, Floats, Floats],
    written: tuple[Floats, Floats, Floats, Floats, Floats],
) -> None:
    """Run a day from `state`, which becomes its end: air (n,), vapour (n,), cells (c,), control (f, 3).

    `surfaces`: contact area with layers (s, n), film laws (s, 8), plume fed (s,), grey exchange (s, s) and outside
    (s,). `walls`: first cell (s + 1,), capacity (c,), conductance to the next cell (c,), to the room (s,). `lamps`:
    level by timer (steps, f), radiant power (f,), power into the air (f,), share of the radiant power that each
    surface takes up (f, s). `sun`: power through each pane (steps, q), share (q, s). `thermostats`: kind (f,),
    target, band, cut-out, lag (f,), weight of layers (f, n), of surfaces (f, s), reading gained a lamp (f, f).
    `room`: temperature and humidity ratio (steps,), pressure; step of time, steps a row. `control`: reading, level,
    tripped. `written`, a row each: air (m, n), vapour (m, n), cells (m, c), levels (m, f), and sums (m, 6):
    heat out by openings, heat out through walls, heat to the air from surfaces, out by long wave, flow out, swapped.
    """
    contact, law, feeds, grey, grey_out = surfaces
    first, capacity, onward, to_room = walls
    timer, radiant, into_air, share = lamps
    sunshine, sun_share = sun
    kind, target, band, cut_out, lag, of_layers, of_surfaces, gained = thermostats
    outside, moist, pressure, step, steps_a_row = room
    air, vapour, cells, control = state
    n, sheets, count = len(air), len(feeds), len(radiant)
    power = np.zeros(len(plumes[0]))
    film = np.zeros((sheets, n))
    warmth, fourth, given = np.empty(sheets), np.empty(sheets), np.empty(sheets)
    area = np.empty(sheets)
    touched = layers_touched(contact)
    for s in range(sheets):
        area[s] = contact[s].sum()
    flows = np.zeros(len(vents[0]))
    neutral = 0.0
    level = np.zeros(count)
    change = np.empty(len(cells))
    rows_air, rows_vapour, rows_cells, rows_level, rows_sum = written
    for now in range(len(outside)):
        row = now // steps_a_row
        # Controls act on what the probe read at the end of the step before.
        for f in range(count):
            level[f] = timer[now, f]
            if kind[f] > 0:
                asked = asked_level(kind[f], control[f, 0], target[f], band[f], control[f, 1])
                control[f, 1] = asked
                level[f] *= asked
            if control[f, 0] > cut_out[f]:
                control[f, 2] = 1.0
            elif control[f, 0] < cut_out[f] - RESET:
                control[f, 2] = 0.0
            if control[f, 2] > 0.5:
                level[f] = 0.0
            power[f] = into_air[f] * level[f]
        # Films by the difference at the beginning of the step.
        for s in range(sheets):
            warmth[s] = cells[first[s]]
            fourth[s] = SIGMA * warmth[s] ** 4
            beside = 0.0
            for k in range(touched[s, 0], touched[s, 1]):
                beside += contact[s, k] * air[k]
            apart = warmth[s] - beside / area[s] if area[s] > 0.0 else 0.0
            side = 0 if apart >= 0.0 else 4
            root = law[s, side] + law[s, side + 1] * abs(apart) ** law[s, side + 2]
            coefficient = max(law[s, side + 3], root * root)
            for k in range(touched[s, 0], touched[s, 1]):
                film[s, k] = coefficient * contact[s, k]
        warm_room = outside[now]
        neutral, leaving, swapped = air_step(
            column,
            vents,
            plumes,
            mixing,
            (warm_room, moist[now], pressure),
            power,
            (film, feeds, warmth, touched),
            (step, neutral),
            (air, vapour),
            (flows, given),
        )
        # Surfaces and what lies behind them.
        through, long_wave, to_air = 0.0, 0.0, 0.0
        beyond = SIGMA * warm_room**4
        for s in range(sheets):
            here = first[s]
            gain = grey_out[s] * (beyond - fourth[s])
            long_wave -= gain
            for j in range(sheets):
                gain += grey[s, j] * (fourth[j] - fourth[s])
            for f in range(count):
                gain += share[f, s] * radiant[f] * level[f]
            for q in range(sunshine.shape[1]):
                gain += sun_share[q, s] * sunshine[now, q]
            gain -= given[s]
            to_air += given[s]
            for c in range(here, first[s + 1]):
                change[c] = 0.0
            change[here] += gain
            for c in range(here, first[s + 1] - 1):
                heat = onward[c] * (cells[c] - cells[c + 1])
                change[c] -= heat
                change[c + 1] += heat
            last = first[s + 1] - 1
            lost = to_room[s] * (cells[last] - warm_room)
            change[last] -= lost
            through += lost
        for c in range(len(cells)):
            cells[c] += step * change[c] / capacity[c]
        for f in range(count):
            reads = 0.0
            for k in range(n):
                reads += of_layers[f, k] * air[k]
            for s in range(sheets):
                reads += of_surfaces[f, s] * cells[first[s]]
            for g in range(count):
                reads += gained[f, g] * level[g]
            control[f, 0] += (reads - control[f, 0]) * min(1.0, step / lag[f])
        out = 0.0
        for o in range(len(flows)):
            out += max(0.0, flows[o])
        for f in range(count):
            rows_level[row, f] += level[f] / steps_a_row
        rows_sum[row, 0] += leaving / steps_a_row
        rows_sum[row, 1] += through / steps_a_row
        rows_sum[row, 2] += to_air / steps_a_row
        rows_sum[row, 3] += long_wave / steps_a_row
        rows_sum[row, 4] += out / steps_a_row
        rows_sum[row, 5] += swapped / steps_a_row
        rows_air[row] = air
        rows_vapour[row] = vapour
        rows_cells[row] = cells
