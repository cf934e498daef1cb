"""Does the box itself get through the house to its place?"""

from __future__ import annotations

from math import floor

from sunfleck.brief.build import Brief
from sunfleck.studies.house_route import BASIS, EXTENTS, HouseRoute, house_route
from sunfleck.studies.report import Verdict
from sunfleck.studies.trace import Number, Step, number_of_step
from sunfleck.units import System, format_quantity

ID = "house-route"
SUBJECT = "house-route"
LACKS = "the plan states no `site.route`: doors, corners, ceiling, lift on its way in"


def ask(brief: Brief) -> Verdict | None:
    """Judge the box as built on its way through the house."""
    found = house_route(brief.plan, brief.library)
    if found is None:
        return None
    id_ = f"{ID}:box"
    numbers = [
        _number(f"{id_}.outside_{name}", f"outside {name}", value, "m", "inside and the walls' thickness")
        for name, value in zip(EXTENTS, found.outside, strict=True)
    ]
    if found.mass is not None:
        numbers.append(_number(f"{id_}.mass", "mass of the walls", found.mass, "kg", found.mass_basis))
    numbers.append(
        _number(f"{id_}.hands", "room for hands on every side", found.clearance, "m", BASIS, BASIS)
    )
    system = brief.plan.show_units
    return Verdict(
        id_,
        "the way through the house",
        "the box",
        found.state,
        sentence(found, system),
        "",
        tuple(numbers),
        advice(found, system),
    )


def sentence(found: HouseRoute, system: System) -> str:
    """Say in one sentence whether it goes, and where it does not."""
    size = " x ".join(format_quantity(edge, "length", system) for edge in found.outside)
    if found.state == "meets":
        return f"{size} outside goes all the way as built"
    where = ", ".join(stage.stage.name for stage in found.stopped_at)
    if found.state == "short":
        return f"{size} outside cannot go as built; it is stopped at: {where}"
    return f"{size} outside: no way was found with room for hands at: {where}"


def advice(found: HouseRoute, system: System) -> str:
    """Say what would pass: panels, or a smaller box."""
    if found.state == "meets":
        return ""
    said = []
    if found.in_panels:
        said.append("bring it in as panels and join them at its place: each wall goes by itself")
    smaller = [
        f"{name} at most {format_quantity(_rounded_down(least, system), 'length', system)} outside"
        for name, least, now in zip(EXTENTS, found.smaller, found.outside, strict=True)
        if 0 < least < now
    ]
    if smaller:
        said.append(f"build it smaller: {', or '.join(smaller)}")
    if any(answer.stage.kind in ("door", "lift") for answer in found.stopped_at):
        more = "1 1/4 to 1 1/2 in" if system == "us" else "3-4 cm"
        said.append(
            f"take the door off its hinges and measure again ({more} more, common practice, no source)"
        )
    return "; or ".join(said) or (
        "measure these places again, or take another way: not all its walls go one by one, nor does a box that is "
        "smaller along one side"
    )


def _rounded_down(length: float, system: System) -> float:
    """To the digit that is shown: what is told must go, not be a hair too large."""
    digit = 0.00254 if system == "us" else 0.001
    return floor(length / digit + 0.01) * digit


def _number(id_: str, label: str, value: float, unit: str, source: str, basis: str = "derived") -> Number:
    return number_of_step(id_, Step(label, value, unit, "computed", (), source, basis))
