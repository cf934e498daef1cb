"""A made-up box as a set of maps: nothing here comes from the light engine, so the pictures stand alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sunfleck.outputs.maps import write_maps
from sunfleck.studies.slices import FieldSlice, MapSet, Outline, PerchStrip

WIDTH, DEPTH, HEIGHT = 1.5, 0.75, 1.5
BASIS = (
    "expected UV index, 08:00-20:00: uv tube, basking lamp; direct light only; "
    "cuts are turned to the brightest direction, perch surfaces face outwards, the back faces up"
)
TARGETS = {"uvi": (3.0, 6.0)}
UNITS = {"uvi": "UVI", "lux": "lux", "ppfd": "umol/m2/s", "radiant": "W/m2"}
STRENGTH = {"uvi": 1.0, "lux": 4000.0, "ppfd": 60.0, "radiant": 90.0}
Box = tuple[float, float, float, float]


def box_outline(label: str, kind: str, box: Box) -> Outline:
    x0, y0, x1, y1 = box
    return Outline(label, kind, np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]]), closed=True)


def limb_outline(label: str, points: list[tuple[float, float]], radius: float) -> Outline:
    path = np.array(points)
    step = np.gradient(path, axis=0)
    step /= np.linalg.norm(step, axis=1, keepdims=True)
    side = np.stack([-step[:, 1], step[:, 0]], axis=1) * radius
    return Outline(label, "perch", np.concatenate([path + side, (path - side)[::-1]]), closed=True)


def ring_outline(label: str, middle: tuple[float, float], half: tuple[float, float]) -> Outline:
    turn = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    return Outline(
        label,
        "plant",
        np.array(middle) + np.array(half) * np.stack([np.cos(turn), np.sin(turn)], 1),
        closed=True,
    )


def cut(
    view: str,
    size: tuple[float, float],
    lamp: Box,
    outlines: list[Outline],
    at: float,
    channel: str,
    shade: Box,
) -> FieldSlice:
    """Make a field that falls off from a lamp, is speckled below a crown and has a hole for a limb."""
    nx, ny = 96, max(8, round(96 * size[1] / size[0]))
    x, y = (np.arange(nx) + 0.5) * size[0] / nx, (np.arange(ny) + 0.5) * size[1] / ny
    gx, gy = np.meshgrid(x, y)
    away = np.hypot(
        np.maximum(np.maximum(lamp[0] - gx, gx - lamp[2]), 0),
        np.maximum(np.maximum(lamp[1] - gy, gy - lamp[3]), 0),
    )
    field = STRENGTH[channel] * 0.9 / np.maximum(away, 0.02) ** 1.15
    leaves = (
        np.random.default_rng(5).random((ny // 3 + 1, nx // 3 + 1)).repeat(3, 0).repeat(3, 1)[:ny, :nx] < 0.5
    )
    inside = (gx > shade[0]) & (gx < shade[2]) & (gy < shade[3])
    field = np.where(inside & leaves, 0.15 * field, field)
    field[np.abs(gy - 0.45 * size[1] - 0.2 * gx) < 0.02] = np.nan
    names = {
        "plan": ("z", "x, to the right", "y, to the back"),
        "front elevation": ("y", "x, to the right", "z, up"),
    }
    axis, across, up = names.get(view, ("x", "y, to the back", "z, up"))
    wall = box_outline("", "wall", (0.0, 0.0, *size))
    return FieldSlice(
        f"{view.capitalize()}, cut at {axis}",
        view,
        channel,
        UNITS[channel],
        at,
        x,
        y,
        field,
        across,
        up,
        (wall, *outlines),
    )


def strip(title: str, length: float, peak: float, channel: str) -> PerchStrip:
    """Make a limb that is brightest on top at a third of its length."""
    count = round(length / 0.01)
    along, around = (np.arange(count) + 0.5) * 0.01, np.linspace(-180.0, 180.0, 25)
    back = STRENGTH[channel] * peak * np.exp(-(((along - length / 3) / 0.35) ** 2))
    surface = np.maximum(np.cos(np.deg2rad(around - 20)), 0.0)[:, None] * back * 0.9
    surface[:, -8:] = np.nan
    return PerchStrip(
        title,
        channel,
        UNITS[channel],
        along,
        around,
        surface,
        back,
        back * np.exp(-0.66),
        back * np.exp(0.58),
    )


def tall_box(channel: str = "uvi") -> MapSet:
    """Three cuts and two perches of a box 150 x 75 x 150 cm."""
    limb = [(0.02, 0.2), (0.6, 0.4), (1.48, 0.55)]
    plan = cut(
        "plan",
        (WIDTH, DEPTH),
        (0.2, 0.28, 1.35, 0.32),
        [
            box_outline("uv tube", "lamp", (0.2, 0.28, 1.35, 0.32)),
            box_outline("basking lamp", "lamp", (0.37, 0.32, 0.43, 0.38)),
            limb_outline("main limb", limb, 0.03),
            limb_outline("cross branch", [(1.0, 0.1), (1.1, 0.65)], 0.02),
            ring_outline("fig", (1.1, 0.5), (0.25, 0.2)),
            box_outline("cork wall", "background", (0.0, 0.7, WIDTH, DEPTH)),
            Outline("left door", "door", np.array([[0.03, 0.0], [0.73, 0.0]]), closed=False),
            Outline("right door", "door", np.array([[0.77, 0.0], [1.47, 0.0]]), closed=False),
            Outline("low strip", "vent", np.array([[0.0, 0.1], [0.0, 0.6]]), closed=False),
        ],
        0.85,
        channel,
        (0.85, 0.0, 1.35, 0.7),
    )
    front = cut(
        "front elevation",
        (WIDTH, HEIGHT),
        (0.2, 1.415, 1.35, 1.445),
        [
            box_outline("uv tube", "lamp", (0.2, 1.41, 1.35, 1.45)),
            box_outline("basking lamp", "lamp", (0.37, 1.37, 0.43, 1.43)),
            limb_outline("main limb", [(0.02, 0.4), (0.6, 0.85), (1.48, 0.95)], 0.03),
            ring_outline("fig", (1.1, 0.6), (0.25, 0.4)),
            ring_outline("philodendron with a long name", (0.3, 0.25), (0.2, 0.2)),
            box_outline("ledge", "ledge", (1.2, 0.3, 1.5, 0.33)),
            box_outline("humid hide", "hide", (0.6, 0.12, 0.8, 0.24)),
            Outline("ground", "substrate", np.array([[0.0, 0.12], [WIDTH, 0.12]]), closed=False),
            Outline("top strip", "vent", np.array([[0.2, HEIGHT], [1.3, HEIGHT]]), closed=False),
        ],
        0.36,
        channel,
        (0.85, 0.0, 1.35, 0.9),
    )
    side = cut(
        "side elevation",
        (DEPTH, HEIGHT),
        (0.28, 1.415, 0.32, 1.445),
        [
            box_outline("uv tube", "lamp", (0.28, 1.41, 0.32, 1.45)),
            limb_outline("main limb", [(0.2, 0.4), (0.4, 0.85), (0.55, 0.95)], 0.03),
            ring_outline("fig", (0.5, 0.6), (0.2, 0.4)),
            box_outline("cork wall", "background", (0.7, 0.0, 0.75, 1.5)),
            Outline("left door", "door", np.array([[0.0, 0.28], [0.0, 1.43]]), closed=False),
        ],
        0.42,
        channel,
        (0.3, 0.0, 0.7, 0.9),
    )
    strips = (strip("main limb", 1.6, 4.2, channel), strip("cross branch", 0.6, 2.1, channel))
    floor, ceiling = TARGETS.get(channel, (None, None))
    basis = BASIS.replace("UV index", {"uvi": "UV index", "lux": "brightness"}.get(channel, channel))
    return MapSet("Lobby basilisk", (plan, front, side), strips, basis, ceiling, floor)


@pytest.fixture
def maps() -> MapSet:
    return tall_box()


@pytest.fixture
def with_field() -> Callable[[float], MapSet]:
    """Make sets in which every value is the same."""

    def make(value: float, channel: str = "uvi") -> MapSet:
        whole = tall_box(channel)
        slices = tuple(replace(each, expected=np.full_like(each.expected, value)) for each in whole.slices)
        strips = tuple(
            replace(
                each,
                expected=np.full_like(each.expected, value),
                back_line=np.full_like(each.along, value),
                low=np.full_like(each.along, value),
                high=np.full_like(each.along, value),
            )
            for each in whole.strips
        )
        return replace(whole, slices=slices, strips=strips)

    return make


@pytest.fixture(scope="session")
def written(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, ...]:
    """Write the set once, light and metric, in both formats; tests that only look share it."""
    return write_maps(tall_box(), tmp_path_factory.mktemp("maps"))
