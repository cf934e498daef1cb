"""A part to begin with: in the middle of the box, in the plan's units, to be dragged to its place."""

from __future__ import annotations

from collections.abc import Iterable

from sunfleck.document.entries import Entry
from sunfleck.library.loader import Library
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.names import slug
from sunfleck.units import System, format_quantity

# What can be added, and what it is called at first.
NEW = {
    "fixtures": "lamp",
    "perches": "branch",
    "ledges": "ledge",
    "hides": "hide",
    "bowls": "bowl",
    "plants": "plant",
    "backgrounds": "background",
    "stations": "point",
}
LINES = ("tube", "strip")
# So close to a wall an end of a branch is held by it. [m]
HELD = 0.01


def new_part(plan: Plan, library: Library, group: str, lamp: str = "") -> dict[str, Entry]:
    """Return an entry for a list of the plan.

    Parameters
    ----------
    plan : Plan
        The plan, for its size, units and the names it has already.
    library : Library
        What its ids belong to.
    group : str
        One of :data:`NEW`.
    lamp : str
        Id of the lamp, where one is added; the first of the library when left out.

    Returns
    -------
    entry : dict
        As it is written.
    """
    inside, units = plan.enclosure.inside, plan.show_units
    w, d, h = inside.width, inside.depth, inside.height
    ground = plan.substrate.depth if plan.substrate is not None else 0.0
    entry: dict[str, Entry] = {"name": _free_name(NEW[group], names_of(plan))}
    if group == "fixtures":
        id_ = lamp or next(iter(library.lamps))
        entry["lamp"] = id_
        length = getattr(library.lamps[id_], "length", None)
        if str(library.lamps[id_].emitter.value) in LINES and length is not None:
            long = min(float(length.value), 0.94 * w)
            ends = ((w - long) / 2, (w + long) / 2)
            entry["from"], entry["to"] = (_point((x, d / 2, 0.93 * h), units) for x in ends)
        else:
            entry["at"] = _point((w / 2, d / 2, 0.9 * h), units)
            entry["aim"] = _point((w / 2, d / 2, ground), units)
        entry["hours"] = ["08:00", "20:00"]
    elif group == "perches":
        # From wall to wall: a branch that nothing holds is a problem.
        entry["path"] = [_point((x, d / 2, 0.4 * h), units) for x in (HELD, w - HELD)]
        entry["diameter"] = [_length(0.04, units), _length(0.03, units)]
        entry["wood"] = "oak"
    elif group == "ledges":
        entry["at"] = _point((0.4 * w, 0.4 * d, ground), units)
        entry["size"] = _point((min(0.3, w / 4), min(0.25, d / 3), 0.05), units)
        entry["finish"] = "cork"
    elif group == "hides":
        entry["at"] = _point((0.4 * w, 0.4 * d, ground), units)
        entry["size"] = _point((min(0.3, w / 4), min(0.25, d / 3), 0.14), units)
        entry["opening"] = "front"
    elif group == "bowls":
        entry["at"] = _point((0.6 * w, 0.4 * d, ground), units)
        entry["diameter"], entry["height"] = _length(min(0.2, w / 5, d / 4), units), _length(0.06, units)
    elif group == "plants":
        middle = _point((w / 2, 0.7 * d, ground + 0.2), units)
        entry["crown"] = {
            "middle": middle,
            "radius": _length(0.12, units),
            "height": _length(0.25, units),
        }
        entry["leaf_area"] = "0.15 m2" if units == "metric" else "1.6 ft2"
    elif group == "backgrounds":
        entry |= {"face": "back", "thickness": _length(0.03, units), "finish": "cork"}
    else:
        entry["at"] = _point((w / 2, d / 2, h / 2), units)
    return entry


def names_of(plan: Plan) -> set[str]:
    """Return what the parts of a plan are called."""
    parts: list[Iterable[object]] = [getattr(plan, group) for group in (*NEW, "meters")]
    parts += [plan.enclosure.doors, plan.enclosure.vents, plan.enclosure.fans]
    return {str(getattr(part, "name", "")) for group in parts for part in group}


def _free_name(wanted: str, taken: set[str]) -> str:
    name, number = wanted, 1
    known = {slug(each) for each in taken}
    while slug(name) in known:
        number += 1
        name = f"{wanted} {number}"
    return name


def _point(place: tuple[float, float, float], units: System) -> list[Entry]:
    return [_length(value, units) for value in place]


def _length(metres: float, units: System) -> str:
    return format_quantity(metres, "length", units)
