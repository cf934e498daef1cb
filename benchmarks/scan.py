"""Many triangles: a scanned branch of 200,000, and plants of 200,000 in a plan."""

from __future__ import annotations

from collections.abc import Iterator

from benchmarks.plans import LEAVES_OF_A_PLANT, many_plants
from benchmarks.scenes import SPOT, TUBES, Floats, receivers, scanned_branch
from benchmarks.table import Row, best_of, cores
from sunfleck.brief.build import make_brief
from sunfleck.geometry.bvh import Bvh, build_bvh
from sunfleck.geometry.rays import rays_of
from sunfleck.physics.media import Media
from sunfleck.physics.scene import Scene
from sunfleck.physics.transport import transfer
from sunfleck.studies.light import light_field

SEED = 2028


def rows(*, tiny: bool) -> Iterator[Row]:
    """Time the engine on a scan, then a plan full of leaves."""
    triangles, number, repeats = (2000, 40, 0) if tiny else (200_000, 4000, 3)
    scan = scanned_branch(triangles, SEED)
    points, normals = receivers(scan, number, SEED)
    yield from _engine(scan, points, normals, repeats)
    yield from _plan(1 if tiny else triangles // (2 * LEAVES_OF_A_PLANT), points, repeats)


def _engine(scan: Floats, points: Floats, normals: Floats, repeats: int) -> Iterator[Row]:
    def built() -> Bvh:
        bvh = build_bvh(scan)
        rays_of(bvh)
        return bvh

    seconds, bvh = best_of(repeats, built)
    tree, _ = best_of(repeats, lambda: build_bvh(scan))
    note = f"our tree {tree:.2f} s, the rest the ray library's; seed {SEED}"
    yield Row(f"a scan of {len(scan):,} triangles: trees built", seconds, "s", 1, 1.0, note)
    scene = Scene(bvh, Media.none())
    lamps = (*TUBES, SPOT)
    seconds, _ = best_of(repeats, lambda: [transfer(scene, lamp, points, normals) for lamp in lamps])
    work = f"   direct light, {len(points):,} receivers, 2 tubes and 1 spot"
    yield Row(work, seconds, "s", cores(), 3.0)


def _plan(plants: int, points: Floats, repeats: int) -> Iterator[Row]:
    source = many_plants(plants, SEED)
    seconds, brief = best_of(repeats, lambda: make_brief(source))
    work = f"a plan of {len(brief.surroundings.triangles):,} triangles: resolved (make_brief)"
    yield Row(
        work, seconds, "s", 1, note=f"the tall example and {plants} plants of {LEAVES_OF_A_PLANT:,} leaves"
    )
    # In the example's box, which is narrower than that of the scan.
    inside = points * (brief.surroundings.inside.high / points.max(axis=0))
    seconds, _ = best_of(repeats, lambda: light_field(brief, inside, (0.0, 0.0, 1.0)))
    work = f"   direct light, {len(points):,} receivers, {len(brief.fixtures)} lamps"
    yield Row(work, seconds, "s", cores())
