"""Plans to be timed with: the tall box with more perches or more plants, and with a lamp moved."""

from __future__ import annotations

import numpy as np

from oracles.plans import tall_guarded
from sunfleck.plan.read import PlanSource, read_plan_text

PERCHES = 12
LEAVES_OF_A_PLANT = 4000
# As its file says where they hang; a drag replaces these. [cm]
TUBE = "from: [2 cm, 28 cm, 148 cm]\n    to: [117 cm, 28 cm, 148 cm]"
SPOT = "at: [40 cm, 41 cm, 146 cm]"


def twelve_perches(*, tube_y: float = 28.0, spot_x: float = 40.0) -> PlanSource:
    """The tall box with twelve perches; where its tube and its spot hang. [cm]"""
    text = tall_guarded()
    text = _replaced(text, TUBE, f"from: [2 cm, {tube_y} cm, 148 cm]\n    to: [117 cm, {tube_y} cm, 148 cm]")
    text = _replaced(text, SPOT, f"at: [{spot_x} cm, 41 cm, 146 cm]")
    # It has three; the others cross the box one above the other.
    added = [
        f"  - name: bar {k}\n"
        f"    path: [[2 cm, {20 + 4 * k} cm, {112 - 8 * k} cm], [118 cm, {48 - 4 * k} cm, {116 - 8 * k} cm]]\n"
        f"    diameter: [45 mm, 35 mm]\n    wood: oak\n"
        for k in range(PERCHES - 3)
    ]
    return read_plan_text(_replaced(text, "plants:\n", "".join(added) + "plants:\n"))


def many_plants(number: int, seed: int) -> PlanSource:
    """The tall box with so many plants more, each of 4,000 leaves."""
    rng = np.random.default_rng(seed)
    low, high = np.array([20, 20, 25]), np.array([100, 50, 110])
    added = [
        f"  - name: shrub {k}\n"
        f"    crown: {{middle: [{x:.1f} cm, {y:.1f} cm, {z:.1f} cm], radius: 15 cm, height: 30 cm}}\n"
        f"    leaf_area: {LEAVES_OF_A_PLANT * 1.5:.0f} cm2\n    leaf: {{length: 3 cm, width: 1 cm}}\n"
        for k, (x, y, z) in enumerate(rng.uniform(low, high, (number, 3)))
    ]
    return read_plan_text(_replaced(tall_guarded(), "plants:\n", "plants:\n" + "".join(added)))


def _replaced(text: str, before: str, after: str) -> str:
    if text.count(before) != 1:
        msg = f"the file no longer has one line {before!r}"
        raise ValueError(msg)
    return text.replace(before, after)
