"""How far a lamp must be able to move: against the trade's figures, closed forms, and plans that lack the room."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.physics.emitters import LineEmitter, bare_tube_law
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import check_light
from sunfleck.service.starting import starter_text
from sunfleck.studies.deviations import raised
from sunfleck.studies.travel import travel_needed

ID = "uv-bracket:the-dragon"


@pytest.mark.parametrize(("spread", "nearest", "farthest"), [(0.35, 28, 51), (0.20, 33, 46)])
def test_the_trades_bracket_of_a_tube_meant_for_40_cm(spread, nearest, farthest):
    """Common practice, no source: 1.15 m of tube at 40 cm, +-35 % needs 28 to 51 cm, +-20 % 33 to 46 cm; to 1 cm."""
    tube = LineEmitter([0, 0, 0.4], [1.15, 0, 0.4], [0, 0, -1], bare_tube_law())
    below = np.array([[0.575, 0.0, 0.0]])
    travel = travel_needed(
        lambda up: (1 - spread) * raised(tube, below, up)[0],
        lambda up: (1 + spread) * raised(tube, below, up)[0],
        1.0,
        1.0,
        -0.3,
        0.6,
    )
    print(f"+-{spread:.0%}: {100 * (0.4 - travel.down):.1f} to {100 * (0.4 + travel.up):.1f} cm")
    assert 100 * (0.4 - travel.down) == pytest.approx(nearest, abs=1.0)
    assert 100 * (0.4 + travel.up) == pytest.approx(farthest, abs=1.0)


PIECES = {"low": st.floats(0.3, 1.0), "high": st.floats(1.0, 3.0), "wider": st.floats(1.0, 1.5)}


@settings(deadline=None)
@given(**PIECES)
def test_a_wider_range_never_needs_less_travel(low, high, wider):
    """Monotone: weaker weak pieces need to come lower, stronger strong ones to go higher."""
    light = lambda up: 0.16 / (0.4 + up) ** 2  # noqa: E731
    near = travel_needed(lambda s: low * light(s), lambda s: high * light(s), 0.9, 1.1, -0.35, 2.0)
    far = travel_needed(
        lambda s: low / wider * light(s), lambda s: high * wider * light(s), 0.9, 1.1, -0.35, 2.0
    )
    assert near.possible
    # Closed form of the inverse square: distance 0.4 sqrt(piece / wanted).
    assert near.down == pytest.approx(max(0.0, 0.4 - 0.4 * np.sqrt(low / 0.9)), abs=1e-6)
    assert near.up == pytest.approx(max(0.0, 0.4 * np.sqrt(high / 1.1) - 0.4), abs=1e-6)
    assert far.weak is None or far.down >= near.down
    assert far.strong is None or far.up >= near.up


def test_where_no_height_helps_there_is_none():
    """Too weak at the lowest height, too strong at the highest."""
    travel = travel_needed(lambda s: 0.5, lambda s: 3.0, 1.0, 2.0, -0.1, 0.1)
    assert travel.weak is None
    assert travel.strong is None
    assert not travel.possible


def arid(travel=None, *, metered=True):
    """The arid example with another travel of its UV tubes, with or without readings, its keeper asking for 3.1 UVI."""
    text = starter_text("arid").replace("uv_floor: 2.6", "uv_floor: 3.1")
    lines = text.split("\n")
    if not metered:
        lines = [line for line in lines if "evidence:" not in line and "{distance" not in line]
    if travel is None:
        lines = [line for line in lines if "travel: 12 cm" not in line]
    else:
        lines = [line.replace("travel: 12 cm", f"travel: {travel}") for line in lines]
    text = "\n".join(lines)
    return check_light(read_plan_text(text))


def verdict(report):
    return next(v for v in report.verdicts if v.id == ID)


def test_an_unmetered_lamp_needs_more_travel_than_a_metered_one():
    """The promise of a reading: it saves bracket."""
    metered, unmetered = (verdict(arid("16 cm", metered=m)) for m in (True, False))
    needs = [v.number("needed").value for v in (metered, unmetered)]
    print(f"travel needed: metered {100 * needs[0]:.0f} cm, unmetered {100 * needs[1]:.0f} cm")
    assert metered.state == "meets"
    assert unmetered.state == "short"
    assert needs[1] > 2 * needs[0]
    assert "from" in unmetered.advice


def test_a_lamp_without_travel_is_not_known_and_a_long_slot_covers_it():
    """A lamp screwed to the roof is no answer; a slot as long as what is needed is one."""
    none = verdict(arid(None))
    assert none.state == "unknown"
    assert "order brackets" in none.advice
    assert verdict(arid("1 cm")).state == "short"
    needed = none.number("needed").value
    assert verdict(arid(f"{100 * needed + 0.1:.1f} cm")).state == "meets"
    assert verdict(arid(f"{100 * needed - 0.1:.1f} cm")).state == "short"
