"""A plan with one part elsewhere: what a drag shows before it is written."""

from __future__ import annotations

from typing import Any

from sunfleck.plan.models import Plan

Vector = tuple[float, float, float]
# What of a part moves with it. A lamp goes on pointing the way it does; a thermostat's probe stays where it is.
PLACES: dict[str, tuple[str, ...]] = {
    "fixtures": ("at", "from_", "to", "aim"),
    "perches": ("path",),
    "ledges": ("at",),
    "hides": ("at",),
    "bowls": ("at",),
    "stations": ("at",),
}


def moved(plan: Plan, group: str, name: str, delta: Vector) -> Plan:
    """Return the plan with a part moved.

    Parameters
    ----------
    plan : Plan
        As written.
    group, name : str
        Which list of the plan, and which part of it.
    delta : (3,) float
        How far. [m]

    Returns
    -------
    plan : Plan
        The same where there is no such part, or nothing of it can be moved.
    """
    return _changed(plan, group, name, lambda part: _moved_part(group, part, delta))


def aimed(plan: Plan, name: str, point: Vector) -> Plan:
    """Return the plan with a lamp aimed at a point (3,). [m]"""
    return _changed(plan, "fixtures", name, lambda part: part.model_copy(update={"aim": point}))


def _changed(plan: Plan, group: str, name: str, change: Any) -> Plan:
    parts = getattr(plan, group, ())
    if not isinstance(parts, tuple):
        return plan
    return plan.model_copy(
        update={group: tuple(change(part) if part.name == name else part for part in parts)}
    )


def _moved_part(group: str, part: Any, delta: Vector) -> Any:
    def shifted(point: Vector) -> Vector:
        return (point[0] + delta[0], point[1] + delta[1], point[2] + delta[2])

    if group == "plants":
        changed: dict[str, Any] = {
            "crown": part.crown.model_copy(update={"middle": shifted(part.crown.middle)})
        }
        if part.pot is not None and part.pot.at is not None:
            changed["pot"] = part.pot.model_copy(update={"at": shifted(part.pot.at)})
        return part.model_copy(update=changed)
    update: dict[str, Any] = {}
    for key in PLACES.get(group, ()):
        place = getattr(part, key)
        if place is None:
            continue
        update[key] = tuple(shifted(point) for point in place) if key == "path" else shifted(place)
    if group == "perches" and part.shape is not None:
        update["shape"] = part.shape.model_copy(update={"at": shifted(part.shape.at)})
    if group == "perches" and part.joint is not None:
        update["joint"] = part.joint.model_copy(update={"at": shifted(part.joint.at)})
    return part.model_copy(update=update)
