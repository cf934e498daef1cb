"""Shapes from files: closed forms of volume, units that are caught, holes, millions of triangles, broken files."""

import time

import numpy as np
import pytest

from sunfleck.errors import DomainError
from sunfleck.geometry.chains import Chain
from sunfleck.geometry.mesh_files import METRES, MOST_KEPT, read_mesh, reduced, volume_of

trimesh = pytest.importorskip("trimesh", reason="the reader of mesh files is not installed")


def ball(radius, subdivisions=4):
    return trimesh.creation.icosphere(subdivisions=subdivisions, radius=radius)


def written(mesh, kind):
    data = mesh.export(file_type=kind)
    return data if isinstance(data, bytes) else data.encode()


@pytest.mark.parametrize("kind", ["stl", "obj", "ply", "glb"])
@pytest.mark.parametrize("unit", METRES)
def test_every_format_and_unit_gives_the_same_shape(kind, unit):
    """A box of 40 x 10 x 20 cm, written by a general library: volume and size by closed form."""
    if kind == "glb" and unit != "m":
        return  # metres by its standard
    scale = METRES[unit]
    box = trimesh.creation.box((0.4 / scale, 0.1 / scale, 0.2 / scale))
    mesh = read_mesh(written(box, kind), kind, None if kind == "glb" else unit)
    assert mesh.closed
    assert mesh.volume == pytest.approx(0.4 * 0.1 * 0.2, rel=1e-5)
    assert np.allclose(mesh.size, [0.4, 0.1, 0.2], rtol=1e-5)
    assert mesh.moved_by_at_most == 0.0


def test_volumes_against_closed_forms():
    """A ball to the error of its facets; a branch of our own against the sum of its frusta."""
    assert read_mesh(written(ball(0.1, 5), "stl"), "stl", "m").volume == pytest.approx(
        4 / 3 * np.pi * 1e-3, rel=2e-3
    )
    branch = Chain(np.array([[0.0, 0, 0], [1.0, 0, 0]]), np.array([0.05, 0.03])).triangles(96)
    frustum = np.pi / 3 * (0.05**2 + 0.05 * 0.03 + 0.03**2)
    assert volume_of(branch) == pytest.approx(frustum, rel=2e-3)


def test_a_shape_turned_inside_out_is_turned_back():
    """Normals point outwards afterwards: the volume is above zero."""
    mesh = ball(0.1)
    mesh.invert()
    assert read_mesh(written(mesh, "ply"), "ply", "m").volume > 0


def test_a_metre_of_branch_in_millimetres_is_caught():
    """Read as metres it would be a kilometre: refused, and the unit in which it is a branch is named."""
    branch = trimesh.creation.cylinder(radius=30.0, height=1200.0)
    with pytest.raises(DomainError, match=r"as m it is 1200 m long; it would be as mm 1\.2 m long"):
        read_mesh(written(branch, "stl"), "stl", "m")
    with pytest.raises(DomainError, match=r"no unit is stated.*as mm 1\.2 m long"):
        read_mesh(written(branch, "stl"), "stl", None)
    assert read_mesh(written(branch, "stl"), "stl", "mm").size.max() == pytest.approx(1.2, rel=1e-5)


def test_a_hole_is_seen():
    """One triangle less: not closed, no volume; the shape is still there."""
    mesh = ball(0.1)
    mesh.update_faces(np.arange(len(mesh.faces)) > 0)
    found = read_mesh(written(mesh, "obj"), "obj", "m")
    assert not found.closed
    assert np.isnan(found.volume)
    assert len(found.triangles) == len(mesh.faces)


def test_many_triangles_are_made_fewer_with_a_stated_error():
    """81,920 triangles: no corner moves farther than is said, the volume changes by less than the moved shell."""
    mesh = ball(0.3, 6)
    found = read_mesh(written(mesh, "stl"), "stl", "m")
    assert len(found.triangles) <= MOST_KEPT < found.read
    radius = np.linalg.norm(found.triangles.reshape(-1, 3), axis=1)
    print(
        f"{found.read:,} to {len(found.triangles):,}, moved by at most {1000 * found.moved_by_at_most:.2f} mm"
    )
    assert np.abs(radius - 0.3).max() <= found.moved_by_at_most + 1e-6
    assert found.moved_by_at_most < 0.01


def test_half_a_million_triangles_do_not_hang():
    """A grid of 500 x 500 cells, half a million triangles, is made fewer in seconds; the clock is generous."""
    n = 500
    x, y = np.meshgrid(np.arange(n + 1) / n, np.arange(n + 1) / n)
    p = np.stack([x, y, 0.02 * np.sin(20 * x) * np.sin(20 * y)], axis=-1)
    a, b, c, d = p[:-1, :-1], p[:-1, 1:], p[1:, 1:], p[1:, :-1]
    triangles = np.concatenate([np.stack(t, axis=2).reshape(-1, 3, 3) for t in ((a, b, c), (a, c, d))])
    begun = time.process_time()
    fewer, moved = reduced(triangles, MOST_KEPT)
    assert time.process_time() - begun < 60
    assert len(fewer) <= MOST_KEPT
    assert moved < 0.01


@pytest.mark.parametrize("kind", ["stl", "obj", "ply", "glb"])
def test_broken_files_are_refused_in_words(kind):
    """300 mutants of each format (seed 9): a mesh or a refusal, nothing else, none hangs."""
    rng = np.random.default_rng(9)
    sound = written(trimesh.creation.box((0.2, 0.1, 0.1)), kind)
    refused = 0
    for k in range(300):
        data = bytearray(sound)
        way = k % 3
        if way == 0:
            data = data[: int(rng.integers(0, len(data)))]
        elif way == 1:
            for at in rng.integers(0, len(data), 8):
                data[at] = int(rng.integers(0, 256))
        else:
            at = int(rng.integers(0, len(data)))
            data[at:at] = rng.integers(0, 256, 40, dtype=np.uint8).tobytes()
        try:
            read_mesh(bytes(data), kind, "m")
        except DomainError:
            refused += 1
    print(f"{kind}: {refused} of 300 refused")
    for nothing in (b"", b"solid\nendsolid\n", b"\x00" * 200):
        with pytest.raises(DomainError):
            read_mesh(nothing, kind, "m")
