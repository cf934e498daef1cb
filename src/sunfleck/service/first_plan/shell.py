"""The box itself: walls, doors, vents, ground, and the room it stands in."""

from __future__ import annotations

from collections.abc import Mapping

from sunfleck.brief.givens import number
from sunfleck.document.entries import Entry
from sunfleck.service.first_plan.measures import Measures
from sunfleck.service.first_plan.proposal import LeftOpen
from sunfleck.service.first_plan.writing import Draft

# All of these: common practice, no source. [m]
LIP, OVER_THE_DOORS, FRAME = 0.04, 0.06, 0.03
STRIP_AND_FRAME = 0.11
VENT_HIGH, VENT_LOW = 0.06, 0.06
FROM_THE_CORNER = 0.06
LARGE_PANE, THICK_PANE, THIN_PANE = (
    0.5,
    {"metric": "6 mm", "us": "1/4 in"},
    {"metric": "4 mm", "us": "3/16 in"},
)
MESH = "aluminium-18x16"
FILM, FILM_THICK, TIGHT = (
    "fluoropolymer-film",
    {"metric": "0.1 mm", "us": "1/250 in"},
    {"metric": "0.5 mm", "us": "1/64 in"},
)
AROUND_TUBES = 0.05
GROUNDS = {
    "arid": ("sand-dry", "desert-mix"),
    "humid": ("soil-humus", "coir-fines-6mm"),
    "between": ("soil-fertile", "loam-topsoil"),
}
HUMID = 0.60


def shell_of(draft: Draft, measures: Measures) -> None:
    """Write walls, doors, vents, ground and the room into a draft."""
    wanted = measures.wanted
    room: dict[str, Entry] = {
        "winter": draft.degrees(wanted.winter, 1),
        "summer": draft.degrees(wanted.summer, 1),
        "night_drop": f"{wanted.drop:.3g} K" if draft.system == "metric" else f"{wanted.drop * 1.8:.3g} Fdeg",
    }
    site: dict[str, Entry] = {"room": room}
    if wanted.latitude is not None:
        site["latitude"] = f"{wanted.latitude:g}"
    draft.head["site"] = site
    draft.head["enclosure"] = {"inside": _inside(measures), "walls": _walls(draft, measures)}
    _doors(draft, measures)
    _vents(draft, measures)
    _lining(draft, measures)
    kind = _climate(measures)
    finish, made_of = GROUNDS[kind]
    draft.head["substrate"] = {"depth": draft.length(measures.ground), "finish": finish, "made_of": made_of}
    name = measures.library.substrates[made_of].name.value
    low, high = _humidity(measures)
    deep = draft.length(measures.ground)
    why = (
        "it digs"
        if measures.digs and measures.ground > 0.08
        else "enough to bury a hide's foot and hold a plant"
    )
    draft.because(
        "substrate",
        "ground",
        f"{deep} of {name}: {why}, and the air wanted by day is {low:.0f} to {high:.0f} % humid (library).",
        "common practice, no source",
    )


def _inside(measures: Measures) -> Mapping[str, Entry]:
    return dict(zip(("width", "depth", "height"), measures.wanted.written_size, strict=True))


def _humidity(measures: Measures) -> tuple[float, float]:
    value = measures.wanted.animal.humidity_day.value
    assert isinstance(value, tuple)
    return 100 * float(value[0]), 100 * float(value[1])


def _climate(measures: Measures) -> str:
    low, _ = _humidity(measures)
    return "arid" if measures.arid else "humid" if low >= 100 * HUMID else "between"


def _pane(measures: Measures) -> str:
    large = measures.width * measures.height > LARGE_PANE
    return (THICK_PANE if large else THIN_PANE)[measures.wanted.system]


def _walls(draft: Draft, measures: Measures) -> Mapping[str, Entry]:
    wanted = measures.wanted
    if not wanted.finish:
        wall: dict[str, Entry] = {"material": wanted.material, "thickness": _pane(measures)}
        draft.because("enclosure/walls", "walls", "Panes all round, as you answered.", "answer")
        return {"default": wall}
    default: dict[str, Entry] = {
        "material": wanted.material,
        "thickness": measures.board,
        "finish": wanted.finish,
    }
    board = measures.library.materials[wanted.material]
    conducts = number(board.thermal_conductivity) if board.thermal_conductivity is not None else None
    through = f"it conducts {conducts:.2g} W/mK (library)" if conducts else "as you answered"
    draft.because(
        "enclosure/walls",
        "walls",
        f"{measures.board} of {board.name.value}: a size that it is sold in, and {through}. The finish is smooth, so "
        "that walls are no footholds towards the lamps.",
        "answer",
    )
    if wanted.door_face == "front":
        pane = _pane(measures)
        draft.because(
            "enclosure/walls/front",
            "front",
            f"{pane} of float glass, so that you see in; no UV gets out.",
            "common practice, no source",
        )
        return {"default": default, "front": {"material": "glass-float", "thickness": pane}}
    return {"default": default}


def _doors(draft: Draft, measures: Measures) -> None:
    kind, face = measures.wanted.door_kind, measures.wanted.door_face
    lip = measures.snap(measures.ground + LIP)
    wide = measures.width
    if face == "top":
        half = measures.snap(0.5 * wide)
        strip = STRIP_AND_FRAME if measures.design.window and not measures.wanted.finish else FRAME
        at, size = (half, FRAME), (wide - half - strip, measures.depth - 2 * FRAME)
        entry: dict[str, Entry] = {
            "name": "lid", "face": "top", "kind": kind, "at": draft.point(*at), "size": draft.point(*size),
        }  # fmt: skip
        draft.add(
            "enclosure/doors",
            entry,
            "lid",
            "Over the cool half, so that no lamp is in the way of your hand.",
            "common practice, no source",
        )
        return
    tall = measures.snap(measures.height - OVER_THE_DOORS) - lip
    reason = (
        f"From {draft.length(lip)} up, {draft.length(lip - measures.ground)} above the ground, so that it stays in; "
        "every corner is within an arm's length of an open door."
    )
    if measures.depth > ARM:
        draft.left_open.append(
            LeftOpen(
                "reach of your arm",
                f"The box is {draft.length(measures.depth)} deep; an arm reaches about {draft.length(ARM)} "
                "(common practice, no source): things at the back want a second door or a step.",
            )
        )
    if kind == "lift-out":
        panes = [("front pane", 0.0 + FRAME, wide - 2 * FRAME)]
    elif kind == "sliding":
        half = measures.down(wide / 2)
        panes = [("left pane", 0.0, half), ("right pane", half, half)]
    elif wide > TWO_LEAVES:
        leaf = measures.snap((wide - 3 * FRAME) / 2)
        panes = [("left door", FRAME, leaf), ("right door", wide - FRAME - leaf, leaf)]
    else:
        panes = [("door", FRAME, wide - 2 * FRAME)]
    for name, low, across in panes:
        door: dict[str, Entry] = {
            "name": name, "face": "front", "kind": kind, "at": draft.point(low, lip), "size": draft.point(across, tall),
        }  # fmt: skip
        if measures.design.strips:
            door["gap"] = STRIPPED[measures.wanted.system]
        if kind == "hinged":
            door["swing"] = "right" if name == "right door" else "left"
        strips = (
            f" Brush strips close its laps to {STRIPPED[measures.wanted.system]}: the heat balance asks for it."
            if measures.design.strips
            else ""
        )
        draft.add("enclosure/doors", door, name, f"{reason}{strips}", "common practice, no source")


ARM, TWO_LEAVES = 0.705, 0.70
STRIPPED = {"metric": "1 mm", "us": "1/32 in"}


def _vents(draft: Draft, measures: Measures) -> None:
    deep = measures.back
    long = measures.snap(min(max(measures.design.vent * deep, 0.08), deep - 2 * FROM_THE_CORNER))
    start = measures.snap((deep - long) / 2)
    low = measures.snap(measures.ground + 0.05)
    glass = not measures.wanted.finish
    if measures.design.above:
        _lamp_opening(draft, measures)
    if measures.design.window and glass:
        strip = measures.snap(0.06)
        over: dict[str, Entry] = {
            "name": "vent strip", "face": "top", "at": draft.point(measures.width - OFF_FRAME - strip, start),
            "size": draft.point(strip, long), "mesh": MESH,
        }  # fmt: skip
        draft.add(
            "enclosure/vents",
            over,
            "vent strip",
            "In the lid at the cool end: glass is not cut, and warm air has to leave.",
            "common practice, no source",
        )
    elif not measures.design.above or measures.design.window:
        high = measures.snap(measures.height - 0.03 - VENT_HIGH)
        # Mesh is a foothold for claws: away from the lamps for who climbs, over the warm side for who does not.
        climbs = str(measures.wanted.animal.reach_class.value) != "ground"
        face = "right" if climbs else "left"
        why = (
            "its mesh would be a foothold towards the lamps, so it is at the other end from them"
            if climbs
            else "above the warm end"
        )
        entry: dict[str, Entry] = {
            "name": "high vent", "face": face, "at": draft.point(start, high),
            "size": draft.point(long, VENT_HIGH), "mesh": MESH,
        }  # fmt: skip
        draft.add(
            "enclosure/vents",
            entry,
            "high vent",
            f"Warm air leaves up here: {why}.",
            "common practice, no source",
        )
    if glass and not measures.design.above:
        return
    lengthwise = "right"
    entry = {
        "name": "low vent", "face": lengthwise, "at": draft.point(start, low), "size": draft.point(long, VENT_LOW), "mesh": MESH,
    }  # fmt: skip
    if glass:
        draft.left_open.append(
            LeftOpen(
                "low vent",
                "No low vent is drawn: the walls are panes, and glass is not cut at home. Ask for a vent strip under the doors.",
            )
        )
        return
    draft.add(
        "enclosure/vents",
        entry,
        "low vent",
        f"Cool air comes in low at the cool end and has to cross the box; {draft.length(low)} up it is clear of the ground.",
        "common practice, no source",
    )
    if measures.design.fan:
        side = number(measures.library.fans[measures.design.fan].side)
        at = (measures.snap(start), measures.snap(measures.height - 0.12 - side))
        fan: dict[str, Entry] = {
            "name": "fan", "fan": measures.design.fan, "face": "left", "at": draft.point(*at), "blows": "out",
        }  # fmt: skip
        draft.add(
            "enclosure/fans",
            fan,
            "fan",
            "Vents alone leave it too warm in summer: a fan moves more air.",
            "computed",
        )


def _lamp_opening(draft: Draft, measures: Measures) -> None:
    """What lamps above the lid shine through: a mesh, or a film that keeps the warm air in."""
    design = measures.design
    x, y, _ = measures.spot
    ends: list[float] = [x - 0.15, x + 0.15]
    rows = [y - 0.15, y + 0.15]
    if design.tubes is not None:
        for lamp, row in zip(design.tubes.lamps, measures.tube_rows(len(design.tubes.lamps)), strict=True):
            ends += measures.tube_ends(lamp)
            rows.append(row)
    if design.heater is not None or design.night_heater is not None:
        ends += [x - 0.26, x + 0.36]
        rows.append(y - 0.30)
    if design.bar:
        rows.append(y + 0.14)
    right = measures.width - OFF_FRAME
    if measures.wanted.door_face == "top":
        right = measures.snap(0.5 * measures.width) - FRAME
    elif design.window and not measures.wanted.finish:
        right = measures.width - STRIP_AND_FRAME
    low = [max(OFF_FRAME, measures.snap(min(ends))), max(OFF_FRAME, measures.snap(min(rows) - AROUND_TUBES))]
    high = [
        min(right, measures.snap(max(ends))),
        min(measures.depth - OFF_FRAME, measures.snap(max(rows) + AROUND_TUBES)),
    ]
    size = draft.point(high[0] - low[0], high[1] - low[1])
    if design.window:
        pane = measures.library.panes[FILM]
        door: dict[str, Entry] = {
            "name": "lamp window", "face": "top", "kind": "lift-out", "at": draft.point(*low), "size": size,
            "material": FILM, "thickness": FILM_THICK[measures.wanted.system], "gap": TIGHT[measures.wanted.system],
        }  # fmt: skip
        uv = number(pane.transmittance_uv)
        draft.add(
            "enclosure/doors",
            door,
            "lamp window",
            f"The room is colder than the animal wants, and under a mesh lid the air stays near the room's: so the lamps shine "
            f"through a frame of {pane.name.value}, which lets {100 * uv:.0f} % of the UV through (library) and keeps warm air "
            "in. It lifts out, and is no foothold.",
            "computed",
        )
        return
    entry: dict[str, Entry] = {
        "name": "mesh top", "face": "top", "at": draft.point(*low),
        "size": size, "mesh": MESH,
    }  # fmt: skip
    name = measures.library.meshes[MESH].name.value
    draft.add(
        "enclosure/vents",
        entry,
        "mesh in the lid",
        f"The lamps shine through {name}; warm air leaves there. No larger than the lamps ask for: the rest of the lid is "
        "closed and keeps warmth and damp in.",
        "common practice, no source",
    )


OFF_FRAME = 0.02


def _lining(draft: Draft, measures: Measures) -> None:
    if measures.lined <= 0:
        return
    core = "xps-board"
    entry: dict[str, Entry] = {
        "name": "back lining", "face": "back", "thickness": draft.length(measures.lined),
        "finish": measures.wanted.finish, "core": core,
    }  # fmt: skip
    conducts = number(measures.library.materials[core].thermal_conductivity)  # type: ignore[arg-type]  # a board conducts
    draft.add(
        "backgrounds",
        entry,
        "lining of the back wall",
        f"The heat balance asks for it: the core conducts {conducts:.2g} W/mK, a fifth of a board's (library).",
        "computed",
    )
