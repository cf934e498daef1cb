"""Which UV tubes, how many and how high: by the light at the animal's back and at the brightest place in its reach."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief, make_brief
from sunfleck.brief.givens import number
from sunfleck.document.problem import PlanError
from sunfleck.library.loader import Library
from sunfleck.service.first_plan.design import Design, Tubes
from sunfleck.service.first_plan.drafting import drawn
from sunfleck.service.first_plan.hanging import highest_tube, lowest_tube
from sunfleck.service.first_plan.measures import Measures
from sunfleck.service.first_plan.reading import Wanted
from sunfleck.studies.deviations import raised
from sunfleck.studies.light import light_field
from sunfleck.studies.reach import reach_of
from sunfleck.studies.rule import chances
from sunfleck.studies.setting import UP

Floats = NDArray[np.float64]

# Heights that are tried, from the highest that there is room for to the lowest. [-]
HEIGHTS = 12
# Of the reach, the places that get most from the lamps at their highest, in the middle and at their lowest. [-]
LOOKED_AT, ENOUGH = 10, 1500
# Tubes of one length hang side by side; of two classes, neither being strong or weak decides alone. [-]
MOST = 4
# What a check finds over what comes straight here: given back by walls and ground, and tubes in air that is warmer than
# the one they are rated in, inside, or cooler, above the lid. Seen in checks of arid and planted briefs. [-]
MOST_OVER, LEAST_OVER = 1.03, {"inside": 1.05, "above": 0.85}
COSTS = {"meets": 0.0, "unknown": 1.0, "short": 3.0, "over": 4.0}
A_TUBE, A_WATT = 0.05, 0.004
# Less at 30 cm is no lamp for a basking place half a metre below. [UVI]
WEAK = 2.0
MIDDLE, OFF = 0.35, 1.0
HALF = 0.55
# Every fourth world tells enough to choose by. [-]
THINNED = 4


@dataclass(frozen=True)
class Chosen:
    """UV tubes as found.

    Attributes
    ----------
    tubes : Tubes
        Which and how high.
    floor, most : (float, float, float)
        Least on the body and most within reach: low, expected, high. [UVI]
    floor_state, most_state : str
        How they would be judged.
    looked_at : int
        How many arrangements were. [-]
    """

    tubes: Tubes
    floor: tuple[float, float, float]
    most: tuple[float, float, float]
    floor_state: str
    most_state: str
    looked_at: int


def choose_tubes(wanted: Wanted, design: Design, library: Library, today: str) -> Chosen | None:
    """Find UV tubes for a design.

    Parameters
    ----------
    wanted, design, library
        As decided so far; its own tubes are not looked at.
    today : str
        For the plan's text.

    Returns
    -------
    chosen : Chosen or None
        None where the animal wants no UV, or no tube of the library finds room.
    """
    if wanted.animal.uv_floor is None:
        return None
    best: tuple[float, Chosen] | None = None
    looked = 0
    for family in _families(wanted, library):
        lamps = family
        # In a box without room for four of them side by side two are tried.
        bench = None
        while bench is None and lamps:
            bench = _Bench.of(wanted, design, library, today, lamps)
            if bench is None:
                lamps = lamps[: len(lamps) // 2]
        if bench is None:
            continue
        for rows in _subsets(lamps):
            for over in bench.heights():
                looked += 1
                cost, found = bench.judged(rows, over, looked)
                if best is None or cost < best[0] - 1e-9:
                    best = cost, found
    return replace(best[1], looked_at=looked) if best is not None else None


def _families(wanted: Wanted, library: Library) -> Iterator[tuple[str, ...]]:
    """Tubes in reflectors of one length, a strong and a medium one by turns."""
    lengths: dict[float, dict[str, str]] = {}
    for id_, lamp in library.lamps.items():
        gives = number(lamp.uvi_reference)
        if (
            str(lamp.emitter.value) == "tube"
            and lamp.cut_off is not None
            and lamp.length is not None
            and gives > WEAK
        ):
            kind = str(lamp.lamp_class.value)
            lengths.setdefault(round(number(lamp.length), 2), {})[kind] = id_
    room = wanted.size[0] - 0.04
    # About half as long as the box: the body lies well within its light, and the cool end in shade.
    fits = [length for length in lengths if length <= room]
    if fits:
        length = min(fits, key=lambda each: (abs(each - HALF * wanted.size[0]), each))
        kinds = [lengths[length][kind] for kind in sorted(lengths[length])]
        yield tuple((kinds * MOST)[: MOST if len(kinds) > 1 else 2])


def _subsets(lamps: tuple[str, ...]) -> Iterator[tuple[int, ...]]:
    """One tube, two and more; of the same lamps in other rows the first stands for all."""
    seen = set()
    for size in range(1, len(lamps) + 1):
        for rows in combinations(range(len(lamps)), size):
            kinds = tuple(sorted(lamps[row] for row in rows))
            if kinds not in seen:
                seen.add(kinds)
                yield rows


@dataclass(frozen=True, eq=False)
class _Bench:
    """Four tubes over a basking place, each to be switched and raised."""

    brief: Brief
    lamps: tuple[str, ...]
    over: float
    limits: tuple[float, float]
    body: Floats
    reach: Floats
    worlds: list[tuple[Floats, Floats]]
    floor: float
    comfort: float
    ceiling: float
    watts: tuple[float, ...]
    where: str

    @classmethod
    def of(
        cls, wanted: Wanted, design: Design, library: Library, today: str, lamps: tuple[str, ...]
    ) -> _Bench | None:
        measures = Measures(wanted, design, library)
        high = highest_tube(measures)
        low = max(lowest_tube(measures, lamp) for lamp in lamps)
        if low > high:
            return None
        start = (low + high) / 2 if design.above else high
        bare = replace(design, tubes=Tubes(lamps, start), floods=None, heater=None, night_heater=None, bar="")
        try:
            plan = drawn(wanted, bare, library, today).plan
        except PlanError:
            return None
        brief = make_brief(plan)
        animal = brief.animals[0]
        points = reach_of(brief, animal).points
        if not len(points):
            return None
        lit = [f for f in brief.fixtures if "uvi" in f.outputs]
        points = points[:: max(1, len(points) // ENOUGH)]
        whole = light_field(brief, points, UP)
        given = [
            np.nan_to_num(whole.channel("uvi", "brightest", {f.name: 1.0}, as_planned=False).middle)
            for f in lit
        ]
        picked: set[int] = set()
        for over in (low, (low + high) / 2, high):
            moved = [
                raised(f.emitter, points, over - start) * light for f, light in zip(lit, given, strict=True)
            ]
            # Of all together and of each alone: any of them may be the one that is hung.
            for light in (np.sum(moved, axis=0), *moved):
                picked |= set(np.argsort(-light)[:LOOKED_AT].tolist())
        reach = points[sorted(picked)]
        x, y, z = measures.spot
        half = 0.5 * measures.body
        sides = [(0.0, 0.0), (half, 0.0), (-half, 0.0)]
        if design.habit != "limb":
            sides += [(0.0, half), (0.0, -half)]
        body = np.array([(x + dx, y + dy, z + 0.005) for dx, dy in sides])
        field = light_field(brief, np.concatenate([body, reach]), UP)
        worlds = []
        for fixture in lit:
            only = {fixture.name: 1.0}
            level = field.channel("uvi", "normal", only, as_planned=False).worlds(np.arange(len(body)))[
                :, ::THINNED
            ]
            bright = field.channel("uvi", "brightest", only, as_planned=False).worlds(
                np.arange(len(body), len(body) + len(reach))
            )[:, ::THINNED]
            worlds.append((np.nan_to_num(level), np.nan_to_num(bright)))
        floor = number(wanted.animal.uv_floor) if wanted.animal.uv_floor is not None else 0.0
        return cls(
            brief, lamps, start, (low, high), body, reach, worlds, floor,
            number(wanted.animal.uv_comfort_ceiling), number(wanted.animal.uv_ceiling),
            tuple(number(library.lamps[lamp].input_power) for lamp in lamps),
            "above" if design.above else "inside",
        )  # fmt: skip

    def heights(self) -> Floats:
        low, high = self.limits
        return np.geomspace(high, max(low, 0.05), HEIGHTS)

    def judged(self, rows: tuple[int, ...], over: float, looked: int) -> tuple[float, Chosen]:
        up = float(over - self.over)
        level, bright = np.zeros(1), np.zeros(1)
        for row in rows:
            emitter = self.brief.fixtures[row].emitter
            on_body, in_reach = self.worlds[row]
            level = level + raised(emitter, self.body, up)[:, None] * on_body
            bright = bright + raised(emitter, self.reach, up)[:, None] * in_reach
        least = LEAST_OVER[self.where] * level.min(axis=0)
        most = MOST_OVER * bright.max(axis=0)
        floor = chances(least, floor=self.floor)
        ceiling = chances(most, comfort_ceiling=self.comfort, safety_ceiling=self.ceiling)
        states = floor.state(), ceiling.state()
        # Between states: as much of the body's range inside as can be, without more above.
        inside = 1.0 - floor.inside / floor.rows + ceiling.above_safety / ceiling.rows
        watts = sum(self.watts[row] for row in rows)
        # What cannot be met is missed by as little as can be: the least UV by its logarithm, which is what a reading moves.
        off = max(0.0, float(np.log(self.floor / max(np.median(least), 1e-6))))
        cost = (
            COSTS[states[0]]
            + COSTS[states[1]]
            + MIDDLE * inside
            + OFF * off
            + A_TUBE * len(rows)
            + A_WATT * watts
        )
        tubes = Tubes(tuple(self.lamps[row] for row in rows), float(over))
        return cost, Chosen(tubes, _range(least), _range(most), *states, looked)


def _range(values: Floats) -> tuple[float, float, float]:
    low, middle, high = np.quantile(values, (0.05, 0.5, 0.95))
    return float(low), float(middle), float(high)
