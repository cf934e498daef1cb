"""Thicker walls and linings of insulation that are worth trying for a box that is too cold."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from sunfleck.brief.givens import number
from sunfleck.document.entries import Entry
from sunfleck.geometry.boxes import FACE_AXES, FACES, Box
from sunfleck.plan.enclosure import FaceName, Wall
from sunfleck.plan.furnishing import Hide, Ledge
from sunfleck.plan.models import Plan
from sunfleck.plan.read import PlanSource
from sunfleck.plan.solids import chain_of, inside_box, ledge_box
from sunfleck.service.air_trials import new_name
from sunfleck.service.trials import Edit, Series, Trial
from sunfleck.units import format_quantity, parse_quantity

# Boards as they are sold. Common practice, no source: the library's materials do not list sizes.
BOARDS = {
    "metric": ("12 mm", "15 mm", "18 mm", "25 mm"),
    "us": ("1/2 in", "5/8 in", "3/4 in", "1 in"),
}
LININGS = {"metric": ("20 mm", "30 mm", "50 mm"), "us": ("3/4 in", "1 in", "2 in")}
# What is thinner is a sheet or a coat and no board. [m]
THINNEST_BOARD = 0.006
# Boards that differ by less are one size in two units. [m]
THICKER = 0.0015
# What conducts less insulates. [W m-1 K-1]
INSULATES = 0.05
# A core that conducts as much as half more is hardly worth exchanging. [-]
WORTH_IT = 1.2
# A lamp or a probe takes so much round its middle. Common practice, no source. [m]
OF_A_LAMP = 0.03
LINED: tuple[FaceName, ...] = ("back", "left", "right")
SIZES = ("wider", "deeper", "higher")


def thicker_walls(plan: PlanSource) -> Iterator[Series]:
    """The walls of the next sizes that their board is sold in; the inside stays as it is."""
    walls = plan.plan.enclosure.walls
    default = walls.default
    if default.material not in plan.library.materials or default.thickness < THINNEST_BOARD:
        return
    # Faces that have a wall of their own of the same board grow with the others.
    own = [face for face in FACES if _same_board(getattr(walls, face), default)]
    places = [("default",), *((face,) for face in own)]
    grown = [face for face in FACES if face in own or getattr(walls, face) is None]
    board = plan.library.materials[default.material].name.value
    series: Series = []
    for size in BOARDS[plan.plan.show_units]:
        more = parse_quantity(size, "length") - default.thickness
        if more > THICKER:
            edits = tuple(Edit(("enclosure", "walls", *place, "thickness"), size) for place in places)
            words = f"build the walls of {board} {size} thick; the inside stays, the outside grows {_grows(plan, grown, more)}"
            series.append(Trial(("wall",), words, edits))
    yield series


def _same_board(wall: Wall | None, default: Wall) -> bool:
    return (
        wall is not None
        and wall.material == default.material
        and abs(wall.thickness - default.thickness) < 1e-6
    )


def _grows(plan: PlanSource, faces: list[FaceName], more: float) -> str:
    """How much larger the outside is along each of its ways."""
    count = [sum(FACE_AXES[face][0] == axis for face in faces) for axis in range(3)]
    told = [
        f"{format_quantity(n * more, 'length', plan.plan.show_units)} {word}"
        for n, word in zip(count, SIZES, strict=True)
        if n
    ]
    return _listed(told)


def _listed(words: Sequence[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def insulated(plan: PlanSource) -> Iterator[Series]:
    """Panels with a core that insulates, then the bare closed walls lined inside with insulation under the same finish."""
    materials = plan.library.materials
    conducts = {
        id_: number(entry.thermal_conductivity)
        for id_, entry in materials.items()
        if entry.thermal_conductivity is not None
    }
    best = min(conducts, key=lambda id_: (conducts[id_], id_))
    if conducts[best] > INSULATES:
        return
    board = materials[best].name.value
    poor = [
        (k, panel.name)
        for k, panel in enumerate(plan.plan.backgrounds)
        if panel.core in conducts and conducts[panel.core] > WORTH_IT * conducts[best]
    ]
    if poor:
        edits = tuple(Edit(("backgrounds", k, "core"), best) for k, _ in poor)
        yield [Trial(("wall",), f"take {board} as the core of {' and '.join(n for _, n in poor)}", edits)]
    yield _lined(plan, best, str(board))


def _lined(plan: PlanSource, core: str, board: str) -> Series:
    limit = plan.library.materials[core].safe_temperature
    bears = ""
    if limit is not None:
        shown = format_quantity(number(limit), "temperature", plan.plan.show_units)
        bears = f", where it stays under {shown}"
    series: Series = []
    for size in LININGS[plan.plan.show_units]:
        thick = parse_quantity(size, "length")
        faces = [face for face in LINED if _can_be_lined(plan, face, thick)]
        if not faces:
            break
        edits: list[Edit] = []
        for face in faces:
            finish = plan.plan.enclosure.walls.of(face).finish
            assert finish is not None
            entry: dict[str, Entry] = {
                "name": new_name(plan, f"{face} lining"),
                "face": face,
                "thickness": size,
                "finish": finish,
                "core": core,
            }
            edits.append(Edit(("backgrounds", len(plan.plan.backgrounds) + len(edits)), entry))
        walls = "wall" if len(faces) == 1 else "walls"
        named = f"{_listed(faces)} {walls}"
        words = (
            f"line the {named} inside with {size} of {board} under a skin of the same finish{bears}; "
            "the inside shrinks by as much"
        )
        series.append(Trial(("wall",), words, tuple(edits)))
    return series


def _can_be_lined(plan: PlanSource, face: FaceName, thick: float) -> bool:
    """A closed wall with a finish, with nothing in it, on it or in the way of the lining."""
    enclosure = plan.plan.enclosure
    wall = enclosure.walls.of(face)
    if wall.finish is None or wall.material in plan.library.panes:
        return False
    mounted = (*enclosure.openings, *enclosure.fans, *plan.plan.backgrounds)
    return all(part.face != face for part in mounted) and not _in_the_way(plan.plan, face, thick)


def _in_the_way(plan: Plan, face: FaceName, thick: float) -> bool:
    fixed, end, _, _ = FACE_AXES[face]
    wall = float(inside_box(plan).high[fixed])
    standing: tuple[Ledge | Hide, ...] = (*plan.ledges, *plan.hides)
    boxes = [ledge_box(part) for part in standing]
    for perch in plan.perches:
        chain = chain_of(perch)
        boxes += [Box(p - r, p + r) for p, r in zip(chain.path, chain.radius, strict=True)]
    for fixture in plan.fixtures:
        points = [fixture.from_, fixture.to, fixture.at, fixture.control.probe if fixture.control else None]
        boxes += [Box(np.array(p) - OF_A_LAMP, np.array(p) + OF_A_LAMP) for p in points if p is not None]
    if end:
        return any(wall - thick < box.high[fixed] and box.low[fixed] < wall + 1e-9 for box in boxes)
    return any(box.low[fixed] < thick and box.high[fixed] > -1e-9 for box in boxes)
