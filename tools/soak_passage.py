"""Long run of passage: cabinets near the limit, found motions replayed in a collision library, mirror images asked too.

A proof is attacked by searches with other seeds; a motion by the collision library at fine steps. Run from the
repository: ``python tools/soak_passage.py --cases 2000`` (``make soak``); some hours for all of them.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from pathlib import Path
from time import process_time

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

from oracles.cabinets import WALL, Cabinet, near_the_limit
from oracles.rigid import box_shape, collisions, walls
from sunfleck.geometry.passage.answer import Effort, Passage, passage_of
from sunfleck.geometry.passage.mirror import canonical
from sunfleck.geometry.passage.planner import searched
from sunfleck.geometry.passage.setting import setting_of

ATTACKS = (11, 12, 13)
FINE = 0.001


def asked(case: Cabinet, effort: Effort) -> Passage:
    """Answer one case at no clearance."""
    return passage_of(case.body(), case.world(), case.goal(), 0.0, effort)


def faults(case: Cabinet, answer: Passage, effort: Effort, *, mirror: bool) -> list[str]:
    """What is wrong with an answer; nothing, one hopes."""
    found = []
    if answer.motion is not None:
        lever = float(np.linalg.norm(case.panel)) / 2
        solid = walls(case.inside, WALL, [case.door])
        hits, poses = collisions(answer.motion, box_shape(case.panel), solid, FINE, lever)
        if hits:
            found.append(f"{hits} of {poses} poses touch")
    if answer.verdict == "cannot go in":
        world = case.world()
        setting, _, _ = canonical(setting_of(case.body(), world.ways, world.frame.inwards(case.goal()), 0.0))
        found += [
            f"seed {seed} finds a way where none can be"
            for seed in ATTACKS
            if searched(setting, setting.ways[0], 0.001, seed, 3000) is not None
        ]
    if mirror and asked(case.mirrored(), effort).verdict != answer.verdict:
        found.append("its mirror image is answered otherwise")
    return found


def main() -> int:
    """Run, tell each fault at once and the sums at the end."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--cases", type=int, default=2000)
    arguments.add_argument("--first", type=int, default=0)
    arguments.add_argument("--cells", type=int, default=400_000)
    arguments.add_argument(
        "--mirror", type=int, default=10, help="ask the mirror image of every so manieth case"
    )
    chosen = arguments.parse_args()
    effort = Effort(cells=chosen.cells)
    told: Counter[str] = Counter()
    times, bad = [], 0
    for seed in range(chosen.first, chosen.first + chosen.cases):
        case = near_the_limit(seed)
        begin = process_time()
        answer = asked(case, effort)
        times.append(process_time() - begin)
        told[answer.verdict] += 1
        for fault in faults(case, answer, effort, mirror=seed % chosen.mirror == 0):
            bad += 1
            sys.stdout.write(f"{seed}: {answer.verdict}: {fault}\n")
        if (seed + 1) % 50 == 0:
            sys.stdout.write(f"{seed + 1 - chosen.first} cases: {dict(told)}, {bad} faults\n")
            sys.stdout.flush()
    half, nine = np.quantile(times, [0.5, 0.9])
    sys.stdout.write(
        f"{dict(told)}; {bad} faults; seconds: median {half:.2f}, 90 % {nine:.2f}, most {max(times):.1f}\n"
    )
    return 1 if bad else 0


if __name__ == "__main__":
    raise SystemExit(main())
