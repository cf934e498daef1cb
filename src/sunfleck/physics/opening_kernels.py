"""Compiled flow of air through openings: what each lets through, and the pressure at which nothing is left over."""

from __future__ import annotations

from math import sqrt

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import kernel

Floats = NDArray[np.float64]

GRAVITY = 9.80665
# A balance of volumes is found to this, far below a draught that anybody could measure. [m3 s-1]
FLOW_FOUND = 1e-10
STEPS_OF_PRESSURE = 60
# More than any small fan builds up across the gaps of a box. [Pa]
FAN_PRESSURE = 500.0


@kernel
def flow_speed(pressure: float, square: float, linear: float) -> float:
    """Mean speed [m s-1] through an opening whose loss is square v^2 + linear v, with the sign of `pressure` [Pa]."""
    size = abs(pressure)
    speed = 2.0 * size / (linear + sqrt(linear * linear + 4.0 * square * size) + 1e-300)
    return speed if pressure >= 0.0 else -speed


@kernel
def heads_at(density: Floats, outside: float, edges: Floats, heights: Floats, head: Floats) -> None:
    """Fill `head` (o,) with how much pressure inside gains on outside from the floor up to each opening. [Pa]"""
    # Layer by layer for all openings: several are done at once, and each adds up in the same order.
    for o in range(len(heights)):
        head[o] = 0.0
    for k in range(len(density)):
        lighter = GRAVITY * (outside - density[k])
        low, high = edges[k], edges[k + 1]
        for o in range(len(heights)):
            head[o] += lighter * max(0.0, min(high, heights[o]) - low)


@kernel
def balanced_flows(
    head: Floats,
    area: Floats,
    square: Floats,
    linear: Floats,
    forced: Floats,
    density: float,
    start: float,
    out: Floats,
    slope: Floats,
) -> float:
    """Fill `out` (o,) with flows out of the box that add up to nothing; return the pressure at the floor. [m3 s-1], [Pa]

    `square`, `linear` (o,): loss as of :class:`sunfleck.physics.openings.Loss`, in air of `density`. `forced` (o,): what
    a fan moves through an opening whatever the pressure, out above zero; 0 of open ones. `slope` (o,): written, what
    each flow gains with pressure. [m3 s-1 Pa-1]
    """
    count = len(head)
    if count == 0:
        return 0.0
    low, high = -head[0], -head[0]
    fans = False
    for o in range(count):
        low, high = min(low, -head[o]), max(high, -head[o])
        fans |= forced[o] != 0.0
    if fans:
        low, high = low - FAN_PRESSURE, high + FAN_PRESSURE
    pressure = float(min(max(start, low), high))
    for _ in range(STEPS_OF_PRESSURE):
        # Roots and quotients apart from the sums: several are done at once.
        for o in range(count):
            p = pressure + head[o]
            size = abs(p)
            root = sqrt(linear[o] * linear[o] + 2.0 * density * square[o] * size)
            flow = 2.0 * area[o] * size / (linear[o] + root + 1e-300)
            out[o] = flow if p >= 0.0 else -flow
            slope[o] = area[o] / (root + 1e-12)
        if fans:
            for o in range(count):
                if forced[o] != 0.0:
                    out[o], slope[o] = forced[o], 0.0
        total, steep = 0.0, 0.0
        for o in range(count):
            total += out[o]
            steep += slope[o]
        if abs(total) < FLOW_FOUND or high - low < 1e-13:
            break
        if total > 0.0:
            high = pressure
        else:
            low = pressure
        pressure -= total / max(steep, 1e-12)
        if not low < pressure < high:
            pressure = 0.5 * (low + high)
    return float(pressure)


@kernel
def close_balance(out: Floats) -> None:
    """Take the last rounding out of flows (o,), in proportion, so that they add up to nothing."""
    gone, come = 0.0, 0.0
    for o in range(len(out)):
        gone += max(0.0, out[o])
        come += max(0.0, -out[o])
    if gone <= 0.0 or come <= 0.0:
        out[:] = 0.0
        return
    through = sqrt(gone * come)
    outward, inward = through / gone, through / come
    for o in range(len(out)):
        out[o] *= outward if out[o] > 0.0 else inward
