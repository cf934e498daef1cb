"""What passage asks of a plan: bowls and pots that are whole, relief on its panel, doors' fittings, an order of names."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.document.problem import Problem, nearest
from sunfleck.document.reader import Document
from sunfleck.geometry.boxes import FACE_AXES, FACES, Box
from sunfleck.library.loader import Library
from sunfleck.plan.enclosure import Door
from sunfleck.plan.furnishing import Background
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.names import slug
from sunfleck.plan.rules.shell import AXES, SLACK, inside_size
from sunfleck.plan.schema_problems import Path, problem_at
from sunfleck.plan.solids import background_box, bowl_box, pot_box, relief_boxes
from sunfleck.units import format_quantity

PARTS = ("backgrounds", "perches", "ledges", "hides", "bowls", "plants", "fixtures")
# What is left of a pane's width when all that stays covered is taken off. [m]
LEAST_OPEN = 0.02


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield what passage cannot be asked about."""
    del library
    for i, door in enumerate(plan.enclosure.doors):
        yield from _fittings(plan, document, ("enclosure", "doors", i), door)
    for i, panel in enumerate(plan.backgrounds):
        yield from _relief(plan, document, i, panel)
    for i, bowl in enumerate(plan.bowls):
        path: Path = ("bowls", i)
        rounded = (bowl.diameter is not None, bowl.height is not None)
        if (bowl.size is not None) == any(rounded) or any(rounded) != all(rounded):
            needed = "`diameter` and `height` of a round bowl, or the `size` of a square one"
            yield problem_at(document, path, "fit.bowl-shape", needed, wrote=_keys(document, path))
            continue
        box = bowl_box(bowl)
        yield from _inside(plan, document, path, box, f"bowl {bowl.name!r}")
    for i, plant in enumerate(plan.plants):
        if plant.pot is not None:
            box = pot_box(plan, plant)
            yield from _inside(plan, document, ("plants", i, "pot"), box, f"pot of {plant.name!r}")
    yield from _order(plan, document)


def _fittings(plan: Plan, document: Document, path: Path, door: Door) -> Iterator[Problem]:
    for key, kind in (("opens", "hinged"), ("lap", "sliding"), ("handle", "sliding")):
        if getattr(door, key) is not None and door.kind != kind:
            needed = f"no `{key}` here: only a {kind} door has it, and this one is {door.kind}"
            yield problem_at(document, (*path, key), "fit.door-fittings", needed)
    covered = (door.lap or 0.0) + (door.handle or 0.0)
    if door.kind == "sliding" and covered > door.size[0] - LEAST_OPEN:
        shown = format_quantity(door.size[0], "length", plan.show_units)
        needed = f"lap and handle that leave something of the pane's width of {shown} open"
        key = "lap" if door.lap is not None else "handle"
        yield problem_at(document, (*path, key), "fit.door-fittings", needed)


def _relief(plan: Plan, document: Document, i: int, panel: Background) -> Iterator[Problem]:
    if not panel.relief or (panel.at is None) != (panel.size is None):
        return
    body = background_box(plan, panel)
    for k, box in enumerate(relief_boxes(plan, panel)):
        path: Path = ("backgrounds", i, "relief", k)
        yield from _inside(plan, document, path, box, f"relief of {panel.name!r}")
        _, _, *along = FACE_AXES[panel.face]
        beside = [
            AXES[axis]
            for axis in along
            if box.low[axis] < body.low[axis] - SLACK or box.high[axis] > body.high[axis] + SLACK
        ]
        if beside:
            needed = f"a block that lies on its panel; in {' and '.join(beside)} it reaches beyond it"
            yield problem_at(
                document, path, "fit.relief-place", needed, wrote=f"relief {k + 1} of {panel.name!r}"
            )


def _inside(plan: Plan, document: Document, path: Path, box: Box, what: str) -> Iterator[Problem]:
    for axis, limit in enumerate(inside_size(plan)):
        low, high = float(box.low[axis]), float(box.high[axis])
        if low < -SLACK or high > limit + SLACK:
            span = " to ".join(format_quantity(x, "length", plan.show_units) for x in (low, high))
            needed = f"{what} within 0 to {format_quantity(limit, 'length', plan.show_units)} in {AXES[axis]}"
            yield problem_at(document, path, "geometry.inside-shell", needed, wrote=f"{span} in {AXES[axis]}")


def _order(plan: Plan, document: Document) -> Iterator[Problem]:
    names = [part.name for section in PARTS for part in getattr(plan, section)]
    known = {slug(name): name for name in (*names, *FACES)}
    seen: dict[str, int] = {}
    for k, name in enumerate(plan.order):
        path: Path = ("order", k)
        if slug(name) not in known:
            needed = "the name of a part that goes in, or of a face that is closed then (front, top, ...)"
            near = nearest(name, list(known.values()))
            yield problem_at(document, path, "fit.order-name", needed, fix=near)
        elif slug(name) in seen:
            needed = f"each name once; order[{seen[slug(name)]}] has it already"
            yield problem_at(document, path, "fit.order-name", needed)
        seen.setdefault(slug(name), k)


def _keys(document: Document, path: Path) -> str:
    node = document.data
    for step in path:
        node = node[step]
    return ", ".join(key for key in node if key not in ("name", "at")) or "neither"
