"""A box carried through a house: doors, corridors, corners, lifts, stairs, and stood up under a ceiling."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import permutations
from math import cos, inf, isfinite, radians
from typing import Literal

from sunfleck.errors import DomainError
from sunfleck.geometry.passage.planar import panel_limit, rectangle_fits, tilt_up_height

StageKind = Literal["door", "corridor", "corner", "ceiling", "lift", "stairs"]
StageVerdict = Literal["goes", "cannot go", "no way found"]
Size = tuple[float, float, float]

# Pitch that stairs are taken with, as steep as in houses. Common practice, no source. [rad]
PITCH = radians(42.0)
# Nothing is looked for above this spare room. [m]
MOST_SPARE = 0.5
HALVINGS = 14
SMALLEST = 0.05
# Which of its extents stands up when it stands as it will at the end.
UPRIGHT = 2
# How many clear widths each kind of stage has.
WIDTHS: dict[StageKind, int] = {"door": 1, "corridor": 1, "corner": 2, "ceiling": 0, "lift": 1, "stairs": 2}
ASLANT = ("tipped", "leant", "tilted up")


@dataclass(frozen=True, slots=True)
class Stage:
    """One place on the way.

    Attributes
    ----------
    kind : str
        ``door``, ``corridor``, ``corner``, ``ceiling``, ``lift``, ``stairs``.
    name : str
        What it is called.
    widths : tuple of float
        Door and corridor: the clear width. Corner: those of both corridors. Stairs: of flight and landing.
        Lift: clear width of its door. Ceiling: none. [m]
    height : float
        Clear height, infinity where none is stated; of stairs the headroom, of a lift its door's. [m]
    cabin : (3,) float or None
        Of a lift: width, depth, height inside. [m]

    Raises
    ------
    DomainError
        If the kind has another number of widths, a length is not above zero, or only a lift has a cabin and it lacks.
    """

    kind: StageKind
    name: str
    widths: tuple[float, ...] = ()
    height: float = inf
    cabin: Size | None = None

    def __post_init__(self) -> None:
        """Refuse widths, a height or a cabin that its kind cannot have."""
        lengths = (*self.widths, self.height, *(self.cabin or ()))
        if (
            len(self.widths) != WIDTHS[self.kind]
            or not all(length > 0 for length in lengths)
            or (self.kind == "lift") != (self.cabin is not None)
        ):
            msg = f"{self.name}: a {self.kind} has {WIDTHS[self.kind]} widths, all lengths above zero; got {lengths} m"
            raise DomainError(msg)


@dataclass(frozen=True, slots=True)
class Carriage:
    """How it is held.

    Attributes
    ----------
    up, across, ahead : int
        Which of width 0, depth 1, height 2 stands up, lies across the way, and leads.
    how : str
        ``level``, ``tipped`` (to one side), ``leant``, ``turned`` or ``sideways`` (round a corner), ``tilted up``.
    """

    up: int
    across: int
    ahead: int
    how: str = "level"


@dataclass(frozen=True, slots=True)
class StageAnswer:
    """One stage answered.

    Attributes
    ----------
    stage : Stage
        Which.
    verdict : str
        ``goes``; ``cannot go`` (even without room for hands: proved by its least extent, or by standing higher than
        the room); ``no way found`` (carried level, tipped or leant; other turns were not looked at).
    carriage : Carriage or None
        How it is carried.
    spare : float
        Most that stays free on every side in that, at least what was asked; below that, what stays without room for
        hands; -1 where nothing does. [m]
    """

    stage: Stage
    verdict: StageVerdict
    carriage: Carriage | None
    spare: float


@dataclass(frozen=True, slots=True)
class RouteAnswer:
    """The whole way.

    Attributes
    ----------
    size : (3,) float
        Width, depth, height of what is carried. [m]
    stages : tuple of StageAnswer
        In order.
    """

    size: Size
    stages: tuple[StageAnswer, ...]

    @property
    def verdict(self) -> StageVerdict:
        """The worst of its stages."""
        found = {stage.verdict for stage in self.stages}
        if "cannot go" in found:
            return "cannot go"
        return "no way found" if "no way found" in found else "goes"


def carried_along(size: Sequence[float], stages: Sequence[Stage], clearance: float = 0.01) -> RouteAnswer:
    """Answer whether a box is carried along a way.

    Parameters
    ----------
    size : (3,) float
        Its outside width, depth and height as it stands at the end. [m]
    stages : sequence of Stage
        In order. [-]
    clearance : float
        Room for hands on every side. [m]

    Returns
    -------
    answer : RouteAnswer
        Each stage by itself; between two of them it may be held another way, lying to upright only under a ceiling
        that lets it be tilted up.

    Raises
    ------
    DomainError
        If an extent is not above zero or the clearance below zero.
    """
    box = (float(size[0]), float(size[1]), float(size[2]))
    if not all(isfinite(edge) and edge > 0 for edge in box) or not (isfinite(clearance) and clearance >= 0):
        msg = f"a box needs three extents above zero and room for hands of zero or more; got {box} and {clearance} m"
        raise DomainError(msg)
    return RouteAnswer(box, tuple(_answer(box, stage, stages, clearance) for stage in stages))


def largest_extent(
    size: Sequence[float], axis: int, stages: Sequence[Stage], clearance: float = 0.01
) -> float:
    """How large one extent may be for the box to go all the way, the others as they are.

    Parameters
    ----------
    size : (3,) float
        Outside width, depth, height. [m]
    axis : int
        Which of them is made smaller. [-]
    stages : sequence of Stage
        In order. [-]
    clearance : float
        Room for hands on every side. [m]

    Returns
    -------
    extent : float
        Within a thousandth of a millimetre below the limit; 0 where even 5 cm does not go. [m]
    """

    def goes(extent: float) -> bool:
        box = [*size]
        box[axis] = extent
        return carried_along(box, stages, clearance).verdict == "goes"

    low, high = SMALLEST, float(size[axis])
    if goes(high):
        return high
    if not goes(low):
        return 0.0
    while high - low > 1e-6:
        middle = (low + high) / 2
        low, high = (middle, high) if goes(middle) else (low, middle)
    return low


def _answer(box: Size, stage: Stage, stages: Sequence[Stage], clearance: float) -> StageAnswer:
    held = _ways_to_hold(box, stage, stages, clearance)
    goes = bool(held)
    held = held or _ways_to_hold(box, stage, stages, 0.0)
    if not held:
        return StageAnswer(stage, "cannot go" if _stuck(box, stage) else "no way found", None, -1.0)

    def spare_of(carriage: Carriage) -> float:
        spare, tried = (clearance, max(MOST_SPARE, clearance)) if goes else (0.0, clearance)
        for _ in range(HALVINGS):
            middle = (spare + tried) / 2
            free = any(_held_alike(carriage, other) for other in _ways_to_hold(box, stage, stages, middle))
            spare, tried = (middle, tried) if free else (spare, middle)
        return spare

    # The simplest way to hold it; of equally simple ones that with the most room.
    simplest = min(_rank(carriage) for carriage in held)
    spares = [(spare_of(carriage), carriage) for carriage in held if _rank(carriage) == simplest]
    spare, carriage = max(spares, key=lambda each: each[0])
    return StageAnswer(stage, "goes" if goes else "no way found", carriage, spare)


def _rank(carriage: Carriage) -> int:
    """Upright, then on a side or on end, then aslant."""
    if carriage.how in ASLANT:
        return 2
    return 0 if carriage.up == UPRIGHT else 1


def _held_alike(first: Carriage, second: Carriage) -> bool:
    """Whether they are one way to hold it; round a corner, how it goes round is not asked."""
    return (first.up, first.across, first.ahead) == (second.up, second.across, second.ahead) and _rank(
        first
    ) == _rank(second)


def _stuck(box: Size, stage: Stage) -> bool:
    """Whether no way of holding it helps: a convex body passes no gap that is narrower than its least extent."""
    gaps = [*stage.widths, stage.height, *(stage.cabin or ())]
    if stage.kind == "ceiling":
        return box[2] > stage.height
    return bool(gaps) and min(box) > min(gaps)


def _ways_to_hold(box: Size, stage: Stage, stages: Sequence[Stage], room: float) -> list[Carriage]:
    if stage.kind != "ceiling":
        return list(_carriages(box, stage, room))
    stood_up = _stood_up(box, stage, stages, room)
    return [] if stood_up is None else [stood_up]


def _stood_up(box: Size, stage: Stage, stages: Sequence[Stage], room: float) -> Carriage | None:
    """Upright all the way, or carried lying or aslant and stood up over its shorter side, which takes the least height."""
    others = [other for other in stages if other.kind != "ceiling"]
    if box[2] + room > stage.height:
        return None
    if all(
        any(c.up == UPRIGHT and c.how not in ASLANT for c in _carriages(box, each, room)) for each in others
    ):
        return Carriage(UPRIGHT, 0, 1)
    side = 0 if box[0] < box[1] else 1
    if tilt_up_height(box[2], box[side]) + room <= stage.height:
        return Carriage(UPRIGHT, 1 - side, side, "tilted up")
    return None


def _carriages(box: Size, stage: Stage, room: float) -> Iterator[Carriage]:
    """Ways to hold it, upright ones first."""
    held = sorted(permutations(range(3)), key=lambda axes: (axes[0] != UPRIGHT, axes))
    for up, across, ahead in held:
        wide, long, tall = box[across] + 2 * room, box[ahead] + 2 * room, box[up] + 2 * room
        if stage.kind in ("door", "corridor"):
            if wide <= stage.widths[0] and tall <= stage.height:
                yield Carriage(up, across, ahead)
        elif stage.kind in ("corner", "stairs"):
            height = stage.height * (cos(PITCH) if stage.kind == "stairs" else 1.0)
            how = _round(long, wide, *stage.widths) if tall <= height else ""
            if how:
                yield Carriage(up, across, ahead, how)
        elif stage.cabin is not None:
            width, depth, height = stage.cabin
            if wide > min(stage.widths[0], width):
                continue
            if long <= depth and tall <= min(stage.height, height):
                yield Carriage(up, across, ahead)
            elif rectangle_fits(long, tall, depth, min(stage.height, height)):
                yield Carriage(up, across, ahead, "leant")
    if stage.kind in ("door", "corridor") and isfinite(stage.height):
        for up, across, ahead in held:
            if rectangle_fits(box[across] + 2 * room, box[up] + 2 * room, stage.widths[0], stage.height):
                yield Carriage(up, across, ahead, "tipped")


def _round(long: float, wide: float, first: float, second: float) -> str:
    """Round a right corner: turned, or without turning, sideways down the second corridor."""
    if (wide <= first and long <= second) or (long <= first and wide <= second):
        return "sideways"
    narrow, longer = min(wide, long), max(wide, long)
    if narrow < min(first, second) and longer <= panel_limit(narrow, first, second):
        return "turned"
    return ""
