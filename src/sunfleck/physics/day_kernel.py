"""Compiled course of a day: surfaces, walls and ground in small steps, the air with each of them, controls."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel
from sunfleck.physics.air_kernels import air_step, spans, workspace

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
    """Run a day from `state`, which becomes its end: air (n,), vapour (n,), cells (c,), control (f, 4).

    `surfaces`: contact area with layers (s, n), film laws (s, 8), plume fed (s,), grey exchange (s, s) and outside
    (s,). `walls`: first cell (s + 1,), capacity (c,), conductance to the next cell (c,), to the room (s,). `lamps`:
    level by timer (steps, f), radiant power (f,), power into the air (f,), share of the radiant power that each
    surface takes up (f, s). `sun`: power through each pane (steps, q), share (q, s). `thermostats`: kind (f,),
    target, band, cut-out (f,), and of the probes of thermostats, then of cut-outs, lag (2 f,), weight of layers
    (2 f, n), of surfaces (2 f, s), reading gained a lamp (2 f, f).
    `room`: temperature and humidity ratio (steps,), pressure; step of time, steps a row. `control`: reading, level,
    tripped, reading of the cut-out. `written`, a row each: air (m, n), vapour (m, n), cells (m, c), levels (m, f), and
    sums (m, 6): heat out by openings, heat out through walls, heat to the air from surfaces, out by long wave, flow out, swapped.
    """
    contact, law, feeds, grey, grey_out = surfaces
    first, capacity, onward, to_room = walls
    timer, radiant, into_air, share = lamps
    sunshine, sun_share = sun
    kind, target, band, cut_out, lag, of_layers, of_surfaces, gained = thermostats
    outside, moist, pressure, step, steps_a_row = room
    air, vapour, cells, control = state
    n, sheets, count, many = len(air), len(feeds), len(radiant), len(cells)
    power = np.zeros(len(plumes[0]))
    film = np.zeros((sheets, n))
    warmth, fourth, given, gain = np.zeros(sheets), np.zeros(sheets), np.zeros(sheets), np.zeros(sheets)
    area = np.zeros(sheets)
    touched = spans(contact)
    for s in range(sheets):
        area[s] = contact[s].sum()
    sensed_layers, sensed_surfaces = spans(of_layers), spans(of_surfaces)
    flows = np.zeros(len(vents[0]))
    work = workspace(n, len(power), len(flows))
    neutral = 0.0
    level = np.zeros(count)
    answers = step / capacity
    passed = np.zeros(many + 1)
    # Made once: numba counts references whenever it ties arrays together.
    facing, of_air, answered = (film, feeds, warmth, touched), (air, vapour), (flows, given)
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
            if control[f, 3] > cut_out[f]:
                control[f, 2] = 1.0
            elif control[f, 3] < cut_out[f] - RESET:
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
            facing,
            (step, neutral),
            of_air,
            answered,
            work,
        )
        # Surfaces: long wave, lamps and sun, and what the air takes. Each sum runs over all surfaces at once.
        long_wave, through, to_air = 0.0, 0.0, 0.0
        beyond = SIGMA * warm_room**4
        for s in range(sheets):
            gain[s] = grey_out[s] * (beyond - fourth[s])
            long_wave -= gain[s]
            to_air += given[s]
        for j in range(sheets):
            for s in range(sheets):
                gain[s] += grey[j, s] * (fourth[j] - fourth[s])
        for f in range(count):
            if level[f] > 0.0:
                shines = radiant[f] * level[f]
                for s in range(sheets):
                    gain[s] += share[f, s] * shines
        for q in range(sunshine.shape[1]):
            if sunshine[now, q] != 0.0:
                for s in range(sheets):
                    gain[s] += sun_share[q, s] * sunshine[now, q]
        # What lies behind them: heat that each cell passes on, its own step by what comes less what goes.
        for c in range(many - 1):
            passed[c + 1] = onward[c] * (cells[c] - cells[c + 1])
        for s in range(sheets):
            last = first[s + 1] - 1
            lost = to_room[s] * (cells[last] - warm_room)
            through += lost
            passed[first[s]] = gain[s] - given[s]
            goes = lost
            for c in range(last, first[s] - 1, -1):
                comes = passed[c]
                cells[c] += answers[c] * (comes - goes)
                goes = comes
        # Of each lamp the probe of its thermostat, then that of its cut-out.
        for p in range(2 * count):
            f, place = p % count, 0 if p < count else 3
            reads = 0.0
            for k in range(sensed_layers[p, 0], sensed_layers[p, 1]):
                reads += of_layers[p, k] * air[k]
            for s in range(sensed_surfaces[p, 0], sensed_surfaces[p, 1]):
                reads += of_surfaces[p, s] * cells[first[s]]
            for g in range(count):
                reads += gained[p, g] * level[g]
            control[f, place] += (reads - control[f, place]) * min(1.0, step / lag[p])
        for f in range(count):
            rows_level[row, f] += level[f] / steps_a_row
        out = 0.0
        for o in range(len(flows)):
            out += max(0.0, flows[o])
        rows_sum[row, 0] += leaving / steps_a_row
        rows_sum[row, 1] += through / steps_a_row
        rows_sum[row, 2] += to_air / steps_a_row
        rows_sum[row, 3] += long_wave / steps_a_row
        rows_sum[row, 4] += out / steps_a_row
        rows_sum[row, 5] += swapped / steps_a_row
        if (now + 1) % steps_a_row == 0:
            for k in range(n):
                rows_air[row, k], rows_vapour[row, k] = air[k], vapour[k]
            for c in range(many):
                rows_cells[row, c] = cells[c]
