"""Fans and vents that are worth trying for a box that is too hot, or whose fan makes it too cold."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.brief.givens import number
from sunfleck.document.entries import Entry
from sunfleck.document.reader import walk
from sunfleck.geometry.boxes import Face
from sunfleck.plan.enclosure import FaceName, Vent
from sunfleck.plan.read import PlanSource
from sunfleck.plan.rules.names import slug
from sunfleck.plan.spots import can_be_cut, free_spot
from sunfleck.service.trials import Edit, Series, Trial
from sunfleck.units import format_quantity

# Fans are set by quarters; a new one that would be too strong is tried at half. [-]
LEVELS = (0.25, 0.5, 0.75, 1.0)
AT_HALF, AT_FULL = 0.5, 1.0
# Two that move nearly the same are one trial. [-]
STRONGER = 1.2
SIDES: tuple[FaceName, ...] = ("right", "left", "back", "front")
# A strip along the foot or the head of a side. Common practice, no source. [m]
STRIPS = {"metric": (0.2, 0.4, 0.6), "us": (0.2032, 0.4064, 0.6096)}
STRIP_HEIGHT = {"metric": 0.05, "us": 0.0508}


def fan_levels(plan: PlanSource, *, more: bool) -> Iterator[Series]:
    """The plan's own fans faster or slower, as far as a setting goes."""
    own = plan.plan.enclosure.fans
    levels = LEVELS if more else LEVELS[::-1]
    series = []
    for level in levels:
        edits = tuple(
            Edit(("enclosure", "fans", k, "level"), _share(level), beside="fan")
            for k, fan in enumerate(own)
            if (level > fan.level if more else level < fan.level)
        )
        if edits:
            names = " and ".join(own[int(edit.path[2])].name for edit in edits)
            series.append(Trial(("setting",), f"run {names} at {_share(level)}", edits))
    if series:
        yield series


def new_fans(plan: PlanSource) -> Series:
    """Each fan of the library high in a wall, what moves least first; with a low vent where no air could come in."""
    free = {id_: number(fan.flow) for id_, fan in plan.library.fans.items()}
    # The smallest at half is next to nothing.
    flows = sorted(
        (level * flow, -level, id_)
        for id_, flow in free.items()
        for level in (AT_HALF, AT_FULL)
        if level == AT_FULL or flow > min(free.values())
    )
    # A fan alone moves nothing: what it blows out has to come in again.
    intake = () if _air_comes_in(plan) else _new_vents(plan, STRIPS[plan.plan.show_units][1], high=False)
    if intake is None:
        return []
    series: Series = []
    moved = 0.0
    for flow, slower, id_ in flows:
        found = _place_high(plan, number(plan.library.fans[id_].side), [face for _, face, _ in intake])
        if flow < STRONGER * moved or found is None:
            continue
        moved, (face, at) = flow, found
        place = f"high in the {_wall(face)}" if face != "top" else "in the lid"
        name = new_name(plan, "exhaust fan")
        entry: dict[str, Entry] = {
            "name": name,
            "fan": id_,
            "face": face,
            "at": [_length(plan, x) for x in at],
            "blows": "out",
        }
        level = f" at {_share(-slower)}" if -slower < AT_FULL else ""
        if level:
            entry["level"] = _share(-slower)
        kinds: tuple[str, ...] = ("fan",)
        edit = Edit(("enclosure", "fans", len(plan.plan.enclosure.fans)), entry)
        words = (
            f"add a fan ({plan.library.fans[id_].name.value}){level}, {place}, behind a grille, blowing out"
        )
        if intake:
            kinds, words = ("fan", "vent"), f"{words}, and {_told(intake)}"
        series.append(Trial(kinds, words, (edit, *(vent for vent, *_ in intake))))
    return series


def _air_comes_in(plan: PlanSource) -> bool:
    enclosure = plan.plan.enclosure
    return bool(enclosure.vents) or any(door.gap is None or door.gap > 0 for door in enclosure.doors)


def _place_high(
    plan: PlanSource, side: float, intakes: list[FaceName]
) -> tuple[Face, tuple[float, float]] | None:
    """Where a fan fits: high up, in a side without a vent first; in the lid where that is open to the room."""
    vented = {vent.face for vent in plan.plan.enclosure.vents} | set(intakes)
    lid: tuple[FaceName, ...] = ("top",) if "top" in vented else ()
    places = []
    for rank, face in enumerate((*SIDES, *lid)):
        if can_be_cut(plan.plan, plan.library, face):
            at = free_spot(plan.plan, plan.library, face, (side, side), "top")
            if at is not None:
                low = face != "top" and at[1] < plan.plan.enclosure.inside.height / 2
                places.append(((low, face == "top", face in vented, rank), face, at))
    if not places:
        return None
    _, face, at = min(places)
    return face, at


def new_vents(plan: PlanSource) -> Iterator[Series]:
    """A low vent in a side where the box has none; and one up high too where warm air has no way out there."""
    low, high = (_vented(plan, high=high) for high in (False, True))
    if not low:
        yield _vent_series(plan, (False,))
    if not high:
        yield _vent_series(plan, (True,) if low else (False, True))


def _vent_series(plan: PlanSource, which: tuple[bool, ...]) -> Series:
    series: Series = []
    for width in STRIPS[plan.plan.show_units]:
        found: list[Cut] = []
        for high in which:
            more = _new_vents(plan, width, high=high, others=found)
            if more is None:
                return series
            found += more
        edits = tuple(edit for edit, *_ in found)
        series.append(Trial(("vent",), _told(tuple(found)), edits))
    return series


def _vented(plan: PlanSource, *, high: bool) -> bool:
    """Whether a vent in a side, or in the lid, lets air through in the lower or in the upper half."""
    inside = plan.plan.enclosure.inside

    def lies(vent: Vent) -> bool:
        if vent.face in ("top", "bottom"):
            return high and vent.face == "top"
        return (vent.at[1] + vent.size[1] / 2 > inside.height / 2) == high

    return any(lies(vent) for vent in plan.plan.enclosure.vents)


# An opening to cut: what is written, in which face, and in a builder's words.
Cut = tuple[Edit, FaceName, str]


def _new_vents(
    plan: PlanSource, width: float, *, high: bool, others: list[Cut] | None = None
) -> tuple[Cut, ...] | None:
    """A strip of mesh low or high in a side, away from other vents; None where no side has room for it."""
    others = others or []
    size = (width, STRIP_HEIGHT[plan.plan.show_units])
    vented = {vent.face for vent in plan.plan.enclosure.vents} | {face for _, face, _ in others}
    for face in sorted(SIDES, key=lambda face: face in vented):
        if not can_be_cut(plan.plan, plan.library, face):
            continue
        at = free_spot(plan.plan, plan.library, face, size, "top" if high else "ground")
        half = plan.plan.enclosure.inside.height / 2
        if at is None or (at[1] + size[1] / 2 > half) != high or any(face == taken for _, taken, _ in others):
            continue
        entry: dict[str, Entry] = {
            "name": new_name(plan, "new high vent" if high else "new low vent"),
            "face": face,
            "at": [_length(plan, x) for x in at],
            "size": [_length(plan, x) for x in size],
            "mesh": _mesh(plan),
        }
        edit = Edit(("enclosure", "vents", len(plan.plan.enclosure.vents) + len(others)), entry)
        mesh = plan.library.meshes[_mesh(plan)].name.value
        wide, tall, up = (_length(plan, x) for x in (*size, at[1]))
        return ((edit, face, f"{wide} by {tall} in the {_wall(face)}, {up} above the floor, behind {mesh}"),)
    return None


def _told(cuts: tuple[Cut, ...]) -> str:
    return f"cut a vent of {' and one of '.join(words for *_, words in cuts)}"


def _mesh(plan: PlanSource) -> str:
    """What the plan's other vents have; else the library's finest: what does not hold prey insects is no vent."""
    used = [vent.mesh for vent in plan.plan.enclosure.vents]
    meshes = plan.library.meshes
    return used[0] if used else min(meshes, key=lambda id_: (number(meshes[id_].pitch_u), id_))


def new_name(plan: PlanSource, wanted: str) -> str:
    """A name that no other part of the plan has, or that reads like none.

    Parameters
    ----------
    plan : PlanSource
        Whose parts.
    wanted : str
        The name without a number.

    Returns
    -------
    name : str
        With a number behind it where another part has the name already.
    """
    written = [value for path, value in walk(plan.document.data) if path and path[-1] == "name"]
    taken = {slug(str(name)) for name in written}
    for count in range(1, len(taken) + 2):
        name = wanted if count == 1 else f"{wanted} {count}"
        if slug(name) not in taken:
            break
    return name


def _wall(face: str) -> str:
    return "lid" if face == "top" else f"{face} wall"


def _share(level: float) -> str:
    return f"{100 * level:.0f} %"


def _length(plan: PlanSource, metres: float) -> str:
    return format_quantity(metres, "length", plan.plan.show_units, 2)
