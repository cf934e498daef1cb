"""A lamp that moves: only what it changes is computed anew, and nothing differs from computing everything."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from oracles.plans import tall_guarded
from sunfleck.brief.build import make_brief
from sunfleck.geometry.boxes import Box
from sunfleck.physics.emitters import DiscEmitter, LineEmitter, bare_tube_law, cosine_law
from sunfleck.plan.read import read_plan_text
from sunfleck.service.starting import starter_text
from sunfleck.studies import light
from sunfleck.studies.interreflection import interior_of
from sunfleck.studies.lamp_scenes import Move
from sunfleck.studies.light import light_field, light_taken_over

UP = (0.0, 0.0, 1.0)
CHANNELS = ("uvi", "lux", "ppfd", "radiant")


def written(*changes):
    """The tall example with some lines changed."""
    text = tall_guarded()
    for before, after in changes:
        assert before in text
        text = text.replace(before, after)
    return read_plan_text(text)


AWAY = {
    "the spot lower": [("at: [40 cm, 41 cm, 146 cm]", "at: [50 cm, 37 cm, 134 cm]")],
    "the guarded tube below the bar": [
        ("from: [2 cm, 28 cm, 148 cm]", "from: [2 cm, 48 cm, 140 cm]"),
        ("to: [117 cm, 28 cm, 148 cm]", "to: [117 cm, 48 cm, 140 cm]"),
    ],
    "the bar, and without its guard": [
        ("from: [15 cm, 50 cm, 152 cm]", "from: [20 cm, 20 cm, 130 cm]"),
        ("to: [105 cm, 50 cm, 152 cm]\n    hours: [\"07:30\", \"20:30\"]\n    guard: guard-bar-12mm", "to: [110 cm, 20 cm, 130 cm]\n    hours: [\"07:30\", \"20:30\"]"),
    ],
    "only the aim": [("aim: [42 cm, 36 cm, 90 cm]", "aim: [60 cm, 36 cm, 90 cm]")],
    "nothing": [],
}  # fmt: skip


@pytest.fixture(scope="module")
def points():
    return np.random.default_rng(31).uniform([0, 0, 0.15], [1.2, 0.6, 1.5], (500, 3))


@pytest.mark.parametrize("change", AWAY)
def test_a_moved_lamp_gives_the_field_of_the_plan_as_it_is_then(points, change):
    """Bit for bit, in every channel, direct and reflected; seed of the receivers 31."""
    first = make_brief(written())
    field = light_field(first, points, UP, interior_of(first))
    plan = written(*AWAY[change])
    moved = make_brief(plan, first)
    assert moved.surroundings is first.surroundings
    quick = light_field(moved, points, UP, interior_of(moved, field.interior), field)
    anew = make_brief(plan)
    whole = light_field(anew, points, UP, interior_of(anew))
    for channel in CHANNELS:
        for facing in ("normal", "brightest"):
            one, other = quick.channel(channel, facing), whole.channel(channel, facing)
            assert np.array_equal(one.middle, other.middle, equal_nan=True)
            assert np.array_equal(one.worlds([3, 17, 40]), other.worlds([3, 17, 40]), equal_nan=True)


def test_what_is_seen_again_is_taken_over_and_nothing_differs(points):
    """A spot lower, other receivers between those that were seen, some of them looked at closely or inside the ground: bit for bit."""
    first = make_brief(written())
    earlier = interior_of(first)
    closely = np.arange(len(points)) % 3 == 0
    light_taken_over(
        first, np.concatenate([points, [[0.5, 0.3, 0.02]]]), UP, earlier, np.append(closely, False)
    )
    moved = make_brief(written(*AWAY["the spot lower"]), first)
    rng = np.random.default_rng(32)
    new = rng.uniform([0, 0, 0.15], [1.2, 0.6, 1.5], (40, 3))
    asked = np.concatenate([points[::2], new, [[0.6, 0.3, 0.02], [0.5, 0.3, 0.02]], points[1::4], points[:5]])
    near = np.concatenate([closely[::2], np.arange(40) % 2 == 0, [True, False], closely[1::4], ~closely[:5]])
    inside = interior_of(moved, earlier)
    assert inside.scene is earlier.scene
    quick = light_taken_over(moved, asked, UP, inside, near)
    assert len(earlier.seen) == 1
    anew = make_brief(written(*AWAY["the spot lower"]))
    whole = light_field(anew, asked, UP, interior_of(anew), closely=near)
    for channel in CHANNELS:
        for facing in ("normal", "brightest"):
            one, other = quick.channel(channel, facing), whole.channel(channel, facing)
            assert np.array_equal(one.middle, other.middle, equal_nan=True)
            assert np.array_equal(one.worlds([3, 17, 270]), other.worlds([3, 17, 270]), equal_nan=True)


def test_lamps_that_stay_are_not_computed_again(points, monkeypatch):
    """A flood that is turned, hung apart from the tubes: their light is computed anew only where the flood may be in the way."""
    text = starter_text("arid")
    first = make_brief(read_plan_text(text))
    field = light_field(first, points, UP)
    moved = make_brief(
        read_plan_text(text.replace("aim: [46 cm, 37 cm, 15 cm]", "aim: [30 cm, 37 cm, 15 cm]")), first
    )
    asked = []
    original = light.transfer

    def counting(scene, emitter, p, n, **finely):
        asked.append((type(emitter).__name__, len(p)))
        return original(scene, emitter, p, n, **finely)

    monkeypatch.setattr(light, "transfer", counting)
    light_field(moved, points, UP, before=field)
    print(f"receivers computed anew: {asked}")
    floods = [count for name, count in asked if name == "DiscEmitter"]
    tubes = [count for name, count in asked if name == "LineEmitter"]
    assert max(floods) == len(points)
    assert max(tubes) < 0.5 * len(points)


@pytest.mark.parametrize(
    "change",
    [
        ("thickness: 6 cm, finish: cork", "thickness: 5 cm, finish: cork"),
        ("main limb", "large limb"),
    ],
)
def test_another_box_is_built_anew(change):
    """What stands differently is never taken over; a new name counts, because results name things."""
    first = make_brief(written())
    assert make_brief(written(change), first).surroundings is not first.surroundings


def test_another_value_of_the_library_is_built_anew():
    """A plan's own value for a finish changes what the walls give back."""
    first = make_brief(written())
    text = tall_guarded() + (
        "own_values:\n  finishes/cork/reflectance_visible: {value: 0.5, source: my meter, basis: measured}\n"
    )
    assert make_brief(read_plan_text(text), first).surroundings is not first.surroundings


PLACE = st.tuples(*[st.floats(-1.0, 1.0)] * 3)


@given(start=PLACE, end=PLACE, point=PLACE, low=PLACE, size=st.tuples(*[st.floats(0.01, 1.0)] * 3))
def test_a_way_that_meets_what_moved_is_never_overlooked(start, end, point, low, size):
    """200 ways from a point to a line, or to places on a disc: if one passes the box, the receiver is touched."""
    start, end, point, low = (np.array(x) for x in (start, end, point, low))
    move = Move({}, (Box(low, low + np.array(size)),))
    if np.linalg.norm(end - start) < 1e-3:
        return
    aim = np.eye(3)[np.argmin(np.abs(end - start))]
    aim -= (end - start) * (aim @ (end - start)) / ((end - start) @ (end - start))
    disc = DiscEmitter(start, [0, 0, -1], 0.1, cosine_law())
    turn = np.linspace(0, 2 * np.pi, 200)
    on_disc = start + 0.1 * np.stack([np.cos(turn), np.sin(turn), 0 * turn], axis=1)
    on_line = start + np.linspace(0, 1, 200)[:, None] * (end - start)
    for emitter, places in ((LineEmitter(start, end, aim, bare_tube_law()), on_line), (disc, on_disc)):
        along = point + np.linspace(0, 1, 60)[:, None, None] * (places - point)
        if ((along >= low) & (along <= low + np.array(size))).all(axis=2).any():
            assert move.touches(emitter, point[None, :])[0]
