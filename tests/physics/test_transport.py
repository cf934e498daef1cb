"""What holds for every lamp: superposition, scale, mirror, shadow, masks and threads."""

from math import radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oracles.scenes import cloud, unit_normals
from sunfleck.errors import DomainError
from sunfleck.geometry.bvh import build_bvh
from sunfleck.physics import receive
from sunfleck.physics.emitters import DiscEmitter, LineEmitter, beam_law, reflector_law
from sunfleck.physics.media import Media
from sunfleck.physics.scene import Scene, Transfer
from sunfleck.physics.transport import transfer

SEEDS = st.integers(0, 10**6)
LAMPS = ("line", "disc")
often = settings(max_examples=25, deadline=None, derandomize=True)


def lamp(kind, scale=1.0, flip=1.0):
    """A tube in a reflector or a spot above the unit cube; `flip` mirrors it in x."""
    place = scale * np.array([flip, 1.0, 1.0])
    if kind == "line":
        aim = np.array([0.1 * flip, 0.3, -1.0])
        return LineEmitter(
            [0.05, 0.4, 1.25] * place, [1.1, 0.55, 1.3] * place, aim, reflector_law(radians(85))
        )
    aim = np.array([-0.1 * flip, 0.05, -1.0])
    return DiscEmitter([0.55, 0.45, 1.3] * place, aim, 0.04 * scale, beam_law(radians(60), radians(110)))


def guarded(scale=1.0, flip=1.0):
    """Two sheets of different groups under the lamp."""
    m = scale * np.array([flip, 1.0, 1.0])
    return Media(
        [[-0.2, -0.2, 1.1] * m, [0.4, -0.2, 1.15] * m], [[0.9, 0, 0] * m, [0.9, 0, 0] * m],
        [[0, 1.4, 0] * m, [0, 1.4, 0] * m], [0, 3], [1, 2], [[0.2, 0.1], [1.5, 0.0]],
    )  # fmt: skip


def receivers(rng, count=12):
    return rng.uniform(0.05, 0.95, (count, 3)), unit_normals(rng, count)


def by_mask(result):
    """Vector and facing as dictionaries over masks, so that results with other columns compare."""
    return {
        int(g): np.column_stack([result.vector[:, c], result.facing[:, c]])
        for c, g in enumerate(result.groups)
    }


def assert_same(one, other, factor=1.0, tolerance=1e-9):
    one, other = by_mask(one), by_mask(other)
    for mask in set(one) | set(other):
        zero = np.zeros_like(next(iter(one.values())))
        a, b = one.get(mask, zero), factor * other.get(mask, zero)
        assert a == pytest.approx(b, rel=tolerance, abs=tolerance * np.abs(b).max() + 1e-15)


@often
@given(seed=SEEDS, share=st.floats(0.05, 0.95))
def test_a_line_is_the_sum_of_its_parts(seed, share):
    """Superposition: a tube cut in two, each part with its share of the watt, behind leaves and sheets."""
    rng = np.random.default_rng(seed)
    scene = Scene(build_bvh(cloud(rng, 30)), guarded())
    points, normals = receivers(rng)
    whole = lamp("line")
    cut = whole.start + share * (whole.end - whole.start)
    first = LineEmitter(whole.start, cut, whole.aim, whole.azimuth_weight)
    second = LineEmitter(cut, whole.end, whole.aim, whole.azimuth_weight)
    parts = [by_mask(transfer(scene, part, points, normals)) for part in (first, second)]
    for mask, expected in by_mask(transfer(scene, whole, points, normals)).items():
        total = share * parts[0].get(mask, 0.0) + (1 - share) * parts[1].get(mask, 0.0)
        assert expected == pytest.approx(total, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("kind", LAMPS)
@often
@given(seed=SEEDS, scale=st.floats(0.3, 4.0))
def test_a_scene_k_times_as_large_gets_one_k_squareth(kind, seed, scale):
    """Scaling: geometry per area goes with 1 / k^2, shadows and sheets included."""
    rng = np.random.default_rng(seed)
    triangles = cloud(rng, 30)
    points, normals = receivers(rng)
    small = transfer(Scene(build_bvh(triangles), guarded()), lamp(kind), points, normals)
    large = transfer(
        Scene(build_bvh(scale * triangles), guarded(scale)), lamp(kind, scale), scale * points, normals
    )
    assert_same(large, small, factor=scale**-2, tolerance=1e-8)


@pytest.mark.parametrize("kind", LAMPS)
@often
@given(seed=SEEDS)
def test_a_mirrored_scene_gives_a_mirrored_field(kind, seed):
    """Mirror in x: the x component changes its sign and nothing else.

    The disc's chords are not symmetric about every mirror, so partly shaded receivers are compared only
    for the line.
    """
    rng = np.random.default_rng(seed)
    triangles = cloud(rng, 30 if kind == "line" else 0)
    flip = np.array([-1.0, 1.0, 1.0])
    points, normals = receivers(rng)
    right = transfer(Scene(build_bvh(triangles), guarded()), lamp(kind), points, normals)
    left = transfer(Scene(build_bvh(flip * triangles), guarded(flip=-1.0)), lamp(kind, flip=-1.0), flip * points,
                    flip * normals)  # fmt: skip
    mirrored = Transfer(left.groups, flip * left.vector, flip * left.ahead, left.facing)
    if kind == "line":
        assert_same(mirrored, right, tolerance=1e-8)
    else:
        # An edge of a sheet may pass between mirrored places on the chords: compared in the open.
        free = Scene(build_bvh([]), Media.none())
        one = transfer(free, lamp(kind), points, normals)
        other = transfer(free, lamp(kind, flip=-1.0), flip * points, flip * normals)
        assert flip * other.vector == pytest.approx(one.vector, rel=1e-4, abs=1e-6)


@pytest.mark.parametrize("kind", LAMPS)
@often
@given(seed=SEEDS, before=st.integers(0, 30), more=st.integers(1, 30))
def test_an_occluder_never_brightens(kind, seed, before, more):
    """Whatever is added, no receiver gets more, facing anywhere, behind any sheet.

    Nor in the vector: what is taken from it points into the cone of rays to the lamp.
    """
    rng = np.random.default_rng(seed)
    triangles = cloud(rng, before + more)
    points, normals = receivers(rng)
    few = by_mask(transfer(Scene(build_bvh(triangles[:before]), guarded()), lamp(kind), points, normals))
    many = by_mask(transfer(Scene(build_bvh(triangles), guarded()), lamp(kind), points, normals))
    assert set(many) <= set(few)
    for mask, dark in many.items():
        light = few[mask]
        # What is left of a disc's chord is integrated by quadrature, of a line in closed form.
        room = (1e-11 if kind == "line" else 1e-6) * np.abs(light).max()
        assert (dark[:, 3] <= light[:, 3] + room).all()
        # The lamps are above every receiver: each ray adds to z.
        assert (dark[:, 2] <= light[:, 2] + room).all()


@pytest.mark.parametrize("kind", LAMPS)
def test_threads_chunks_and_order_change_nothing(kind, monkeypatch):
    """The same bits from 1 or 3 threads, in chunks of 7 or all at once, forwards or backwards."""
    rng = np.random.default_rng(7)
    scene = Scene(build_bvh(cloud(rng, 80)), guarded())
    points, normals = receivers(rng, 300)
    points[17] = np.nan
    expected = transfer(scene, lamp(kind), points, normals, threads=1)
    order = rng.permutation(300)
    for chunk, threads in ((7, 3), (300, 1), (64, 2)):
        monkeypatch.setattr(receive, "CHUNK", chunk)
        got = transfer(scene, lamp(kind), points, normals, threads=threads)
        assert np.array_equal(got.groups, expected.groups)
        assert np.array_equal(got.vector, expected.vector, equal_nan=True)
        assert np.array_equal(got.facing, expected.facing, equal_nan=True)
        turned = transfer(scene, lamp(kind), points[order], normals[order], threads=threads)
        assert np.array_equal(turned.facing, expected.facing[order], equal_nan=True)


@pytest.mark.parametrize("kind", LAMPS)
@pytest.mark.parametrize("bad", [np.nan, np.inf])
def test_a_point_that_is_no_place_has_no_light(kind, bad):
    """NaN in, NaN out, for that point in all columns and for no other."""
    points, normals = receivers(np.random.default_rng(3), 5)
    points[2, 1] = bad
    normals[4, 0] = bad
    got = transfer(Scene(build_bvh([]), guarded()), lamp(kind), points, normals)
    assert np.isnan(got.facing).all(axis=1).tolist() == [False, False, True, False, True]
    assert np.isnan(got.vector).any(axis=(1, 2)).tolist() == [False, False, True, False, True]


@pytest.mark.parametrize("kind", LAMPS)
def test_masks_say_which_groups_were_crossed(kind):
    """Two sheets one above the other: both bits; beside them none; a mask that nobody meets is not there."""
    over = Media(
        [[-9, -9, 1.0], [-9, -9, 1.1], [50, 50, 0.5]], [[18, 0, 0], [9.55, 0, 0], [1, 0, 0]],
        [[0, 18, 0], [0, 18, 0], [0, 1, 0]], [1, 7, 5], [0, 0, 0], np.zeros((3, 2)),
    )  # fmt: skip
    points, up = np.array([[0.2, 0.5, 0.1], [0.9, 0.5, 0.1]]), np.tile([0, 0, 1.0], (2, 1))
    got = transfer(Scene(build_bvh([]), over), lamp(kind), points, up)
    assert set(got.groups) <= {0, 2, 130}
    assert got.groups[0] == 0
    # One sheet over all, so that discs are cut as finely in both.
    one = Media([[-9, -9, 1.0]], [[18, 0, 0]], [[0, 18, 0]], [0], [0], np.zeros((1, 2)))
    free = transfer(Scene(build_bvh([]), one), lamp(kind), points, up)
    assert free.groups.tolist() == [0, 1]
    # No law of angle: whatever the masks, the sum is what arrives without sheets.
    assert got.facing.sum(axis=1) == pytest.approx(free.facing.sum(axis=1), rel=1e-12)
    both = list(got.groups).index(130)
    assert got.facing[0, both] > got.facing[1, both]


@pytest.mark.parametrize("kind", LAMPS)
def test_no_points_is_no_error(kind):
    """An empty field has the shapes of one."""
    got = transfer(Scene(build_bvh([]), Media.none()), lamp(kind), [], [])
    assert got.vector.shape == (0, 1, 3)
    assert got.facing.shape == (0, 1)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda s: transfer(s, lamp("line"), [[0, 0, 0]], [[0, 0, 0]]), "normals must have a length above zero"),
        (lambda s: transfer(s, lamp("line"), [[0, 0, 0]], []), "got 0 normals for 1 points"),
        (lambda s: transfer(s, lamp("disc"), [0, 0, 0], [0, 0, 1]), r"points must have the shape \(n, 3\); got \(3,\)"),
    ],
)  # fmt: skip
def test_what_means_nothing_is_refused_with_its_number(call, message):
    """The message names the argument, what was needed, and what came."""
    with pytest.raises(DomainError, match=message):
        call(Scene(build_bvh([]), Media.none()))
