"""Colours of materials in the picture: muted, and broken up a little as natural things are.

They are a choice of ours for the eye, no measured colours: what a surface reflects stands in the library.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.leaves import seed_from_name
from sunfleck.outputs.scene.parts import Colours

# Of the bark, not of the cut wood.
WOODS: Mapping[str, str] = MappingProxyType(
    {
        "oak": "#80705d",
        "red-oak": "#7b6a5a",
        "beech": "#94897a",
        "apple": "#8a7565",
        "yellow-birch": "#b3a288",
        "bamboo": "#b5a871",
        "cork-tube": "#8b6f54",
        "driftwood": "#a89c8b",
        "grapevine": "#8a705b",
        "mopane": "#775a49",
        "black-walnut": "#6a5a4e",
        "tree-fern": "#574a3f",
        "white-ash": "#9b9181",
        "sycamore": "#a79e8d",
    }
)
WOOD = "#877460"
END_GRAIN = "#c9b594"
FINISHES: Mapping[str, str] = MappingProxyType(
    {
        "plywood-sealed": "#d5c19e",
        "wood-weathered": "#a89b88",
        "cork": "#8f7355",
        "bark": "#77624f",
        "rock-grey": "#97968f",
        "concrete": "#a3a19a",
        "concrete-light": "#bcbab2",
        "paint-white": "#e9e7e0",
        "paint-white-titanium": "#edebe5",
        "white-pvc-board": "#ebe9e4",
        "fibreglass-white": "#e6e4dd",
        "plastic-black": "#3b3c3d",
        "aluminium-dull": "#b9bbbc",
        "aluminium-reflector": "#cfd1d1",
        "sand-dry": "#d3bf98",
        "sand-wet": "#a78f6c",
        "soil-humus": "#574636",
        "soil-fertile": "#64513e",
        "turf": "#6f7f52",
        "green-leaf": "#5f7f4c",
        "water-open": "#7d9ca3",
    }
)
FINISH = "#b3aa9b"
MATERIALS: Mapping[str, str] = MappingProxyType(
    {
        "plywood-birch": "#d5c19e",
        "plywood-softwood": "#d3b98c",
        "osb-3": "#c3a677",
        "aluminium-sheet": "#b9bbbc",
        "pvc-foam-board": "#ebe9e4",
    }
)
MATERIAL = "#cfc7b8"
PANE = "#b7c9c8"
LEAF_GREENS = ("#5d7c49", "#6d8a50", "#4f6e44", "#7c9558")
PORCELAIN, METAL, REFLECTOR, CERAMIC, DARK = "#d9d6cd", "#9b9d9e", "#d4d6d6", "#4a4846", "#4d5052"
STATION = "#a5483c"
# What gives light, by what it is: of a filament, of a diode or phosphor, of a tube that gives UV too.
WARM, WHITE, COOL = "#ffe0ab", "#fff5df", "#f1effb"


def rgb(colour: str) -> NDArray[np.float64]:
    """Return ``#rrggbb`` as three numbers from 0 to 255."""
    return np.array([int(colour[k : k + 2], 16) for k in (1, 3, 5)], dtype=np.float64)


def plain(colour: str, count: int) -> Colours:
    """Return one colour for every corner, (count, 3)."""
    return np.tile(rgb(colour).astype(np.uint8), (count, 1))


def broken(colour: str, by: NDArray[np.float64]) -> Colours:
    """Return a colour made lighter and darker, `by` (n,) as a share of it."""
    return np.clip(rgb(colour) * (1 + by[:, None]), 0, 255).round().astype(np.uint8)


def grain(name: str, shape: tuple[int, ...], spread: float) -> NDArray[np.float64]:
    """Return noise that belongs to a name, always the same, within `spread` mostly."""
    return np.random.default_rng(seed_from_name(name)).normal(scale=spread, size=shape)


def mottled(name: str, colour: str, positions: NDArray[np.float64], spread: float) -> Colours:
    """Return a colour with grain that is the same at the same place of two faces.

    Parameters
    ----------
    name, colour : str
        Whose grain, and ``#rrggbb``.
    positions : (n, 3) float
        Corners. [m]
    spread : float
        How far lighter and darker. [-]

    Returns
    -------
    tints : (n, 3) uint8
        One a corner.
    """
    _, which = np.unique(np.round(positions, 5), axis=0, return_inverse=True)
    which = which.reshape(-1)
    return broken(colour, grain(name, (int(which.max()) + 1,), spread)[which])
