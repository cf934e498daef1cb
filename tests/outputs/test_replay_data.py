"""A motion for replay: read back to the last binary digit, and no file makes the reader stumble."""

import json
import re

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.bodies import block, branch, turned
from sunfleck.geometry.passage.layers import Leaf, Opening
from sunfleck.geometry.passage.motion import Motion, Move
from sunfleck.geometry.passage.stage import Stage
from sunfleck.outputs.replay_data import Replay, replay_data, replay_of, replay_text

STAGE = Stage(
    (1.22, 0.71, 1.22), "front", 0.02,
    (Opening("door", (0.1, 0.1), (0.5, 0.9), Leaf("right", 0.018)), Opening("half", (0.65, 0.1), (0.5, 0.9))),
    np.array([[[0.2, 0.4, 0], [0.4, 0.5, 0.6]]]), ("trunk",),
)  # fmt: skip
BODIES = (
    block([1.0, 0.2, 0.03]),
    branch([([[0, 0, 0], [0.1, 1 / 3, 0]], [0.04, 0.01])]),
    turned([0, 0.2], [0.1, 0.12]),
    # A bowl as a plan has it: what is told of it must be plain data.
    turned([0, 0.05], np.array([0.08, 0.08])),
)


def replay(seed=1, body=BODIES[0], rows=7):
    draw = np.random.default_rng(seed)
    turns = draw.normal(size=(rows, 4))
    turns /= np.linalg.norm(turns, axis=1)[:, None]
    moves = (Move("push", 0, 2, 0.1 + 0.2, 0.0), Move("turn", 2, rows - 1, 1e-17, np.pi / 3))
    motion = Motion(turns, draw.normal(size=(rows, 3)) / 3, draw.normal(size=3), moves)
    return Replay('a "panel" ü', "plan", "door", 0.01, body, STAGE, motion)


def same(a, b):
    """Whether two records hold the same to the last bit."""
    if isinstance(a, np.ndarray):
        return a.dtype == b.dtype and np.array_equal(a, b)
    if hasattr(a, "__dataclass_fields__"):
        return type(a) is type(b) and all(same(getattr(a, f), getattr(b, f)) for f in a.__dataclass_fields__)
    if isinstance(a, tuple):
        return len(a) == len(b) and all(map(same, a, b))
    return a == b


@pytest.mark.parametrize("body", BODIES)
def test_read_back_exactly(body):
    """Motion, moves, part with its inner shape, box, openings: nothing rounded; the text is the same again."""
    told = replay(3, body)
    read = replay_of(replay_text(told))
    assert same(read, told)
    assert replay_text(read) == replay_text(told)


def test_replayed_the_same():
    """In-between poses of the motion that was read are those of the motion that was written."""
    told = replay(5)
    read = replay_of(replay_text(told))
    for a, b in zip(told.motion.replayed(0.05, 1.0), read.motion.replayed(0.05, 1.0), strict=True):
        assert same(a, b)


def test_the_file_says_what_its_numbers_mean():
    """Schema, units, order of a quaternion, what is between two poses."""
    data = json.loads(replay_text(replay()))
    assert (data["kind"], data["schema"]) == ("sunfleck motion", 1)
    assert "w, x, y, z" in data["conventions"]["turn"]
    assert "metres" in data["conventions"]["units"]
    assert "one axis" in data["conventions"]["between"]


@pytest.mark.parametrize("text", ["", "[", "[]", "{}", '{"kind": "sunfleck motion"}', "null", "[" * 100_000])
def test_something_else_is_refused_in_words(text):
    """No other file is taken for a motion."""
    with pytest.raises(DomainError, match="replay"):
        replay_of(text)


def paths_of(data, path=()):
    yield path
    inner = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in inner:
        yield from paths_of(value, (*path, key))


DATA = replay_data(replay(rows=3))
PATHS = [path for path in paths_of(DATA) if path and path[0] not in ("conventions", "plan")]
ODD = [None, True, -1, 10**400, "x", [], {}, [[]], float("inf"), float("nan"), 1.5, [1, 2, 3, 4]]


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(PATHS), st.sampled_from(ODD), st.booleans())
def test_a_damaged_file_is_refused_or_read(path, odd, gone):
    """Whatever stands in one place, or is missing there: a motion, or words; never a trace."""
    data = json.loads(json.dumps(DATA))
    here = data
    for key in path[:-1]:
        here = here[key]
    if gone:
        del here[path[-1]]
    else:
        here[path[-1]] = odd
    refused, read = "", None
    try:
        read = replay_of(json.dumps(data))
    except DomainError as error:
        refused = str(error)
    assert np.isfinite(read.motion.turns).all() if read else re.search("replay|quaternion", refused)
