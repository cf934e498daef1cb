"""Does the box get through the house to its place, as built or in panels, and how many carry it?"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, inf
from typing import Any, Literal, cast

from sunfleck.brief.givens import number
from sunfleck.geometry.boxes import FACES
from sunfleck.geometry.passage.house import (
    RouteAnswer,
    Stage,
    StageAnswer,
    StageKind,
    carried_along,
    largest_extent,
)
from sunfleck.library.loader import Library
from sunfleck.plan.enclosure import FaceName
from sunfleck.plan.models import Plan
from sunfleck.plan.route import RouteStage
from sunfleck.studies.rule import State

# Room for hands on every side, and what one person carries for a few minutes. Common practice, no source.
HANDS = 0.01  # [m]
EACH = 25.0  # [kg]
BASIS = "common practice, no source"
STATES: dict[str, State] = {"goes": "meets", "cannot go": "short", "no way found": "unknown"}
EXTENTS = ("width", "depth", "height")
LEFT_OUT = (
    "door frames, handles and banisters that stand out, floors that are not level; measure clear widths, at the "
    "narrowest place, twice",
    "ways to hold it other than level, tipped, leant or tilted up: what is not found may still go with more turns",
    "weight of what is left in the box: take everything out before it is carried",
)
CAUTION = (
    "lifting: glass and heavy boxes crush hands and backs; enough people, gloves, straps, a clear way, panes and doors "
    "taken out; nobody stands below it on stairs"
)


@dataclass(frozen=True, slots=True)
class Part:
    """A panel that is carried by itself."""

    name: str
    answer: RouteAnswer
    mass: float | None


@dataclass(frozen=True, slots=True)
class HouseRoute:
    """The answer.

    Attributes
    ----------
    inside, outside : (3,) float
        Width, depth, height without and with its walls. [m]
    box : RouteAnswer
        The box as built.
    panels : tuple of Part
        Each wall by itself; empty where the box goes as built.
    smaller : (3,) float
        How large each outside extent may be, the others as they are; the extent itself where it goes, 0 where making
        that one smaller does not help. [m]
    mass : float or None
        Of the walls; None where a wall's density is not known. [kg]
    mass_basis : str
        Materials with their densities, and how well those are known.
    clearance : float
        Room for hands on every side. [m]
    """

    inside: tuple[float, float, float]
    outside: tuple[float, float, float]
    box: RouteAnswer
    panels: tuple[Part, ...]
    smaller: tuple[float, float, float]
    mass: float | None
    mass_basis: str
    clearance: float

    @property
    def state(self) -> State:
        """``meets``: goes as built; ``short``: cannot; ``unknown``: no way was found."""
        return STATES[self.box.verdict]

    @property
    def stopped_at(self) -> tuple[StageAnswer, ...]:
        """Stages that it does not pass."""
        return tuple(stage for stage in self.box.stages if stage.verdict != "goes")

    @property
    def in_panels(self) -> bool:
        """Whether every panel goes by itself."""
        return bool(self.panels) and all(part.answer.verdict == "goes" for part in self.panels)

    @property
    def carriers(self) -> int | None:
        """How many people carry it, two at least; None where its mass is not known."""
        return None if self.mass is None else max(2, ceil(self.mass / EACH))

    @property
    def exit_code(self) -> int:
        """0 when it goes, 1 when it cannot, 3 when no way was found."""
        return {"meets": 0, "short": 1}.get(self.state, 3)

    def to_dict(self) -> dict[str, Any]:
        """Return it as plain data for JSON; names end in their unit."""
        return {
            "schema": 1,
            "exit_code": self.exit_code,
            "state": self.state,
            "inside_m": [_plain(x) for x in self.inside],
            "outside_m": [_plain(x) for x in self.outside],
            "clearance_m": self.clearance,
            "stages": [_stage_dict(stage) for stage in self.box.stages],
            "panels": [
                {
                    "name": part.name,
                    "size_m": [_plain(x) for x in part.answer.size],
                    "mass_kg": part.mass,
                    "verdict": part.answer.verdict,
                }
                for part in self.panels
            ],
            "goes_if_at_most_m": {
                extent: _plain(most) for extent, most in zip(EXTENTS, self.smaller, strict=True)
            },
            "mass_kg": self.mass,
            "mass_basis": self.mass_basis,
            "carriers": self.carriers,
            "not_checked": list(LEFT_OUT),
            "caution": CAUTION,
        }


def house_route(plan: Plan, library: Library, clearance: float = HANDS) -> HouseRoute | None:
    """Answer whether the box of a plan gets to its place.

    Parameters
    ----------
    plan : Plan
        As written.
    library : Library
        For the weight of its walls.
    clearance : float
        Room for hands on every side. [m]

    Returns
    -------
    route : HouseRoute or None
        None where the plan states no route.
    """
    if plan.site is None or not plan.site.route:
        return None
    stages = tuple(stage_of(stage, i) for i, stage in enumerate(plan.site.route))
    walls = plan.enclosure.walls
    inside = (plan.enclosure.inside.width, plan.enclosure.inside.depth, plan.enclosure.inside.height)
    thick = {face: walls.of(face).thickness for face in FACES}
    around = (thick["left"] + thick["right"], thick["front"] + thick["back"], thick["bottom"] + thick["top"])
    outside = (inside[0] + around[0], inside[1] + around[1], inside[2] + around[2])
    box = carried_along(outside, stages, clearance)
    masses = {face: _mass(plan, library, face, outside) for face in FACES}
    known = [mass for mass in masses.values() if mass is not None]
    panels: tuple[Part, ...] = ()
    smaller = outside
    if box.verdict != "goes":
        # A panel is not stood up under a ceiling: it is carried in on its edge.
        way = tuple(stage for stage in stages if stage.kind != "ceiling")
        panels = tuple(
            Part(face, carried_along(_panel(face, outside, thick[face]), way, clearance), masses[face])
            for face in FACES
        )
        smaller = (
            largest_extent(outside, 0, stages, clearance),
            largest_extent(outside, 1, stages, clearance),
            largest_extent(outside, 2, stages, clearance),
        )
    whole = sum(known) if len(known) == len(masses) else None
    return HouseRoute(inside, outside, box, panels, smaller, whole, _basis(plan, library), clearance)


def stage_of(written: RouteStage, index: int) -> Stage:
    """Return a stage of the plan as the geometry takes it."""
    kind = written.kind
    name = written.name or f"{kind} {index + 1}"
    if kind == "ceiling":
        return Stage("ceiling", name, (), written.ceiling or inf)
    pair: tuple[float, float] = getattr(written, "door" if kind == "lift" else kind)
    if kind in ("corner", "stairs"):
        return Stage(cast("StageKind", kind), name, pair, written.height or inf)
    return Stage(cast("Literal['door', 'corridor', 'lift']", kind), name, pair[:1], pair[1], written.lift)


def _panel(face: str, outside: tuple[float, float, float], thickness: float) -> tuple[float, float, float]:
    size = list(outside)
    size[{"left": 0, "right": 0, "front": 1, "back": 1}.get(face, 2)] = thickness
    return (size[0], size[1], size[2])


def _density(plan: Plan, library: Library, face: FaceName) -> tuple[float, str] | None:
    name = plan.enclosure.walls.of(face).material
    entry = library.materials.get(name) or library.panes.get(name)
    if entry is None or entry.density is None:
        return None
    return number(entry.density), f"{name} {number(entry.density):.0f} kg/m3 ({entry.density.basis})"


def _mass(plan: Plan, library: Library, face: FaceName, outside: tuple[float, float, float]) -> float | None:
    found = _density(plan, library, face)
    if found is None:
        return None
    wide, deep, high = _panel(face, outside, plan.enclosure.walls.of(face).thickness)
    return found[0] * wide * deep * high


def _basis(plan: Plan, library: Library) -> str:
    found = {face: _density(plan, library, face) for face in FACES}
    said = list(dict.fromkeys(each[1] for each in found.values() if each is not None))
    missing = dict.fromkeys(plan.enclosure.walls.of(face).material for face in FACES if found[face] is None)
    said += [f"{name}: density not known" for name in missing]
    return f"area x thickness x density of each wall, corners counted twice: {', '.join(said)}"


def _plain(length: float | None) -> float | None:
    """A length without the last digits of a sum, to a hundredth of a millimetre. [m]"""
    return None if length is None else round(float(length), 5)


def _stage_dict(answer: StageAnswer) -> dict[str, Any]:
    how = answer.carriage
    return {
        "name": answer.stage.name,
        "kind": answer.stage.kind,
        "verdict": answer.verdict,
        "spare_m": _plain(answer.spare) if answer.carriage is not None else None,
        "carried": None
        if how is None
        else {
            "up": EXTENTS[how.up],
            "across": EXTENTS[how.across],
            "leading": EXTENTS[how.ahead],
            "how": how.how,
        },
    }
