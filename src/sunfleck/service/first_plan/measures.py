"""Sizes of things that follow from the animal and the box, on a builder's grid."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from sunfleck.brief.givens import number
from sunfleck.library.loader import Library
from sunfleck.service.first_plan.design import Design
from sunfleck.service.first_plan.reading import Wanted
from sunfleck.service.wall_trials import BOARDS, LININGS
from sunfleck.units import parse_quantity

Point = tuple[float, float, float]
Size = tuple[float, float, float]

# Whole centimetres, or half inches: what is measured on site. [m]
STEP = {"metric": 0.01, "us": 0.0127}
FINEST = {"metric": 0.001, "us": 0.0254 / 8}
# Clear of a wall. [m]
OFF_A_WALL = 0.02
# Middle of a tube below the lid: its holder and reflector. Common practice, no source. [m]
BELOW_THE_LID = 0.05
# A dry animal's box is drier than this by day. Our decision. [-]
ARID = 0.45
# Between tubes, so that a bulb hangs between two of them without hiding either. [m]
BETWEEN_TUBES = {"inside": 0.15, "above": 0.13}


@dataclass(frozen=True)
class Measures:
    """The box and the animal, with what follows from both.

    Attributes
    ----------
    wanted : Wanted
        The answers.
    design : Design
        What is decided.
    library : Library
        Of lamps.
    """

    wanted: Wanted
    design: Design
    library: Library

    @property
    def step(self) -> float:
        """Grid of the builder. [m]"""
        return STEP[self.wanted.system]

    def snap(self, x: float) -> float:
        """The nearest measure on the grid. [m]"""
        return round(x / self.step) * self.step

    def down(self, x: float) -> float:
        """The next smaller measure that a plan shows: millimetres, or eighths of an inch. [m]"""
        return math.floor(x / FINEST[self.wanted.system] + 1e-6) * FINEST[self.wanted.system]

    @property
    def width(self) -> float:
        """Inside. [m]"""
        return self.down(self.wanted.size[0])

    @property
    def depth(self) -> float:
        """Inside. [m]"""
        return self.down(self.wanted.size[1])

    @property
    def height(self) -> float:
        """Inside. [m]"""
        return self.down(self.wanted.size[2])

    @property
    def lined(self) -> float:
        """How thick the lining of the back wall is. [m]"""
        if self.design.lining < 0:
            return 0.0
        return parse_quantity(LININGS[self.wanted.system][self.design.lining], "length")

    @property
    def back(self) -> float:
        """Where the back wall, or its lining, begins. [m]"""
        return self.depth - self.lined

    @property
    def board(self) -> str:
        """Thickness of the walls, as sold."""
        return BOARDS[self.wanted.system][self.design.board]

    @property
    def body(self) -> float:
        """Head and body. [m]"""
        return self.wanted.length

    @property
    def scale(self) -> float:
        """Of this animal against a typical adult. [-]"""
        return self.body / number(self.wanted.animal.snout_vent_typical)

    @property
    def back_height(self) -> float:
        """Of its back above what it stands on. [m]"""
        return number(self.wanted.animal.back_height) * self.scale

    @property
    def stretch(self) -> float:
        """How far its back gets from a foothold, leap and all. [m]"""
        return number(self.wanted.animal.full_stretch) * self.body + number(self.wanted.animal.leap)

    @property
    def head(self) -> float:
        """Width of its head. [m]"""
        return number(self.wanted.animal.head_width) * self.scale

    @property
    def arid(self) -> bool:
        """Whether it wants a dry box."""
        wanted = self.wanted.animal.humidity_day.value
        assert isinstance(wanted, tuple)
        return float(wanted[1]) <= ARID

    @property
    def digs(self) -> bool:
        """Whether it digs where it lives or lays."""
        return str(self.wanted.animal.breeding.value) == "digs"

    @cached_property
    def ground(self) -> float:
        """Depth of the ground. Common practice, no source: 10 cm for who digs, 5-8 cm else, at most an eighth. [m]"""
        deep = 0.10 if self.digs and self.design.habit != "limb" else 0.08 if not self.arid else 0.06
        return max(self.snap(min(deep, self.height / 8)), 2 * self.step)

    @property
    def snake(self) -> bool:
        """Whether it coils."""
        return str(self.wanted.animal.kind.value) == "snake"

    @cached_property
    def spot(self) -> Point:
        """Where it basks: the middle of the back of the animal. [m]"""
        x = (
            max(0.27 * self.width, self.ledge[0] / 2 + 0.08)
            if self.design.habit == "ledge"
            else 0.30 * self.width
        )
        x = min(x, 0.45 * self.width)
        return (self.snap(x), self.snap(0.52 * self.back), self.ground + self.top + self.back_height)

    @property
    def top(self) -> float:
        """Top of what it basks on, over the ground. [m]"""
        return self.design.rest + (self.limb / 2 if self.design.habit == "limb" else 0.0)

    @cached_property
    def limb(self) -> float:
        """Diameter of a branch: the foot closes on half to three quarters of it. Common practice, no source. [m]"""
        share = 0.4 if str(self.wanted.animal.family.value) == "Chamaeleonidae" else 1.2
        return min(max(round(share * self.head, 3), 0.008), 0.09)

    @cached_property
    def ledge(self) -> Size:
        """Of the basking slab: room for the whole body each way. [m]"""
        long = self.snap(min(max(2.2 * self.body, 0.15), 0.42 * self.width))
        deep = self.snap(min(max(1.8 * self.body, 0.12), 0.62 * self.back))
        return (long, deep, self.snap(min(max(self.design.rest, self.step), 0.05)))

    @cached_property
    def hide(self) -> Size:
        """Of a hide: snug, the body fits in across its corners; a snake coils. [m]"""
        long, deep = (0.40, 0.30) if self.snake else (1.25, 1.0)
        low = max(1.9 * self.back_height, 0.05)
        return (
            self._up(min(max(long * self.body, 0.10), 0.40 * self.width)),
            self._up(min(max(deep * self.body, 0.08), 0.42 * self.back)),
            self._up(low + 0.01),
        )

    def _up(self, x: float) -> float:
        return math.ceil(x / self.step - 1e-6) * self.step

    @property
    def beside_a_hide(self) -> float:
        """Between the way into a hide and the wall. [m]"""
        return max(0.08, 3.0 * self.head)

    def tube_rows(self, count: int) -> list[float]:
        """Where tubes hang, front to back. [m]"""
        apart = BETWEEN_TUBES["above" if self.design.above else "inside"]
        offsets = (-apart, apart, -2.2 * apart, 2.2 * apart)[:count]
        middle = self.spot[1]
        rows = [min(max(middle + off, 0.06), self.back - 0.06) for off in offsets]
        return [self.snap(y) for y in rows]

    def tube_ends(self, lamp: str) -> tuple[float, float]:
        """From and to along x: over the basking place, the cool end left in shade. [m]"""
        length = number(self.library.lamps[lamp].length)  # type: ignore[arg-type]  # tubes have one
        low = min(max(self.spot[0] - length / 2, OFF_A_WALL), self.width - length - OFF_A_WALL)
        if self.design.above:
            low = self.spot[0] - length / 2
            low = min(max(low, OFF_A_WALL), max(self.width - length - OFF_A_WALL, (self.width - length) / 2))
        low = self.snap(low)
        return low, low + length

    def flood_places(self) -> list[tuple[float, float]]:
        """Where basking lamps hang: over the spot, two of them side by side. [m]"""
        floods = self.design.floods
        assert floods is not None
        apart = max(0.10, min(0.45 * self.body, 0.30)) * 2
        x, y, _ = self.spot
        if floods.count == 1:
            return [(x, y)]
        return [(self.snap(x - apart / 2), y), (self.snap(x + apart / 2), y)]
