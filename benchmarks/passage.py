"""Passage: whether parts go through doors. Easy fits, the limit from both sides, and the share left undecided."""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from time import process_time

import numpy as np

from benchmarks.table import Row, best_of
from sunfleck.brief.build import make_brief
from sunfleck.geometry.passage.answer import Effort, passage_of
from sunfleck.geometry.passage.cuts import cuts_for
from sunfleck.geometry.passage.layers import Opening, cabinet
from sunfleck.geometry.passage.pieces import panel_of
from sunfleck.geometry.passage.planar import carried_round_corner, ladder_limit
from sunfleck.plan.read import read_plan_text
from sunfleck.service.starting import STARTERS, starter_text
from sunfleck.studies.passage.study import PassageStudy

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests"))

from oracles.cabinets import Cabinet, centred, near_the_limit

DOOR = (1.16, 1.10)
# Sides of a panel in the reference box, between those that are easy and those that are far too large. [m]
NARROW, WIDE = 1.160, 1.200
SEED = 5000


def rows(*, tiny: bool) -> Iterator[Row]:
    """Processor time of one thread; the first call of each, which compiles, does not count."""
    repeats = 0 if tiny else 3
    effort = Effort(cells=2000 if tiny else 400_000)
    for work, panel in (("straight in", (1.0, 1.0, 0.05)), ("tilted", (1.0, 1.2, 0.05))):
        case = centred(panel, DOOR)
        seconds, _ = best_of(repeats, lambda case=case: _asked(case, effort))  # type: ignore[misc]  # a default argument's type is not inferred
        yield Row(f"passage of an easy panel, {work}", seconds, "s", 1, 0.05)
    limit = ladder_limit(0.9, 0.76)
    for share in (0.9995, 1.0005):
        seconds, proof = best_of(
            repeats, lambda share=share: carried_round_corner(share * limit, 0, 0.9, 0.76)
        )  # type: ignore[misc]  # a default argument's type is not inferred
        yield Row(f"passage of a ladder of {share} times the limit: {proof.state}", seconds, "s", 1)
    for name in STARTERS:
        yield _example(name)
    yield from _one_cuts()
    yield from _gap(effort, 2 if tiny else 8)
    yield from _near_the_limit(effort, 2 if tiny else 100)


def _example(name: str) -> Row:
    """Every part of an example, in and out again, nothing asked before."""
    brief = make_brief(read_plan_text(starter_text(name)))
    begin = process_time()
    report = PassageStudy(brief).report
    seconds = process_time() - begin
    told = Counter(part.verdict for part in (*report.parts, *report.again))
    return Row(f"passage of the example {name}, all parts, out again", seconds, "s", 1, 5.0, f"{dict(told)}")


def _one_cuts() -> Iterator[Row]:
    """Panels that do not go through a door of 1.16 x 1.10 m whole, no line given.

    The back panel of 1.20 x 1.20 m; a side and a floor ordered 5 mm short of each wall, which are turned in less room.
    """
    inside, door = (1.22, 0.71, 1.22), Opening("door", (0.03, 0.06), DOOR)
    panels = {
        "back": [[0.01, 0.66, 0.01], [1.21, 0.71, 1.21]],
        "side": [[0.0, 0.005, 0.005], [0.03, 0.705, 1.215]],
        "floor": [[0.005, 0.005, 0.0], [1.215, 0.705, 0.03]],
    }
    for name, corners in panels.items():
        begin = process_time()
        cuts = cuts_for(
            panel_of([corners]),
            lambda standing: cabinet(inside, "front", 0.02, [door], standing),
            inside,
            clearance=0.01,
        )
        seconds = process_time() - begin
        note = f"{len(cuts.proposals)} proposals, {cuts.asked} pieces asked about"
        yield Row(f"one cut that nothing hides, of a {name} panel", seconds, "s", 1, 5.0, note)


def _asked(case: Cabinet, effort: Effort) -> str:
    return passage_of(case.body(), case.world(), case.goal(), 0.0, effort).verdict


def _gap(effort: Effort, halvings: int) -> Iterator[Row]:
    """Between the widest panel that is found to go in and the narrowest that is proved not to."""
    low, high, longest = NARROW, WIDE, 0.0
    for _ in range(halvings):
        middle = (low + high) / 2
        begin = process_time()
        verdict = _asked(centred((middle, 1.2, 0.05), DOOR), effort)
        longest = max(longest, process_time() - begin)
        if verdict == "goes in":
            low = middle
        elif verdict == "cannot go in":
            high = middle
        else:
            break
    note = f"goes in at {low:.4f} m, proved not to at {high:.4f} m; longest answer {longest:.1f} s"
    yield Row("passage: gap in size from yes to no", 100 * (high - low) / low, "%", 1, 0.5, note)


def _near_the_limit(effort: Effort, count: int) -> Iterator[Row]:
    told: Counter[str] = Counter()
    times = []
    for seed in range(SEED, SEED + count):
        begin = process_time()
        told[_asked(near_the_limit(seed), effort)] += 1
        times.append(process_time() - begin)
    note = f"{dict(told)}; median {np.median(times):.2f} s, longest {max(times):.1f} s; seeds from {SEED}"
    yield Row(
        f"passage of {count} panels near the limit: 90 % within",
        float(np.quantile(times, 0.9)),
        "s",
        1,
        10.0,
        note,
    )
    # A row must be above zero to be told from one that did not run.
    undecided = 100 * told["no way found"] / count
    yield Row("   left undecided", max(undecided, 1e-3), "%", 1, 10.0)
