"""What the values of a plant or a substrate may not say about each other."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from sunfleck.library.entries import Plant, Substrate
from sunfleck.library.values import Sourced

WATER = 1000.0
"""Density of water as it is counted in loads. [kg m-3]"""

LOAD_ROUNDING = 10.0
"""Wet densities are written to tens. [kg m-3]"""

SHARE_ROUNDING = 0.005
"""Shares of pores are written to whole or half per cent. [-]"""


def plant_contradictions(plant: Plant) -> Iterator[str]:
    """Say what a plant's values say against each other.

    Parameters
    ----------
    plant : Plant
        An entry of the library.

    Yields
    ------
    fault : str
        One sentence each: light to hold it is no more than light to grow, and that no more than light to
        colour; what is mounted has no root depth; what harms is named.
    """
    lights = [
        (name, ends(getattr(plant, name)))
        for name in ("light_to_hold", "light_to_grow", "light_to_colour")
        if getattr(plant, name) is not None
    ]
    for (less, below), (more, above) in pairwise(lights):
        if below[0] > above[0] or below[1] > above[1]:
            yield f"{less}: {_told(below)} is not below the {more} of {_told(above)} at both ends"
    if (plant.rooting.value == "mounted") != (plant.root_depth is None):
        yield "root_depth: a mounted plant has none, every other one needs it"
    harms = plant.toxicity.value != 0
    for name in ("toxin", "toxic_to"):
        if (getattr(plant, name) is not None) != harms:
            yield f"{name}: goes with a toxicity above 0 and with no other"


def substrate_contradictions(substrate: Substrate) -> Iterator[str]:
    """Say what a substrate's values say against each other.

    Parameters
    ----------
    substrate : Substrate
        An entry of the library.

    Yields
    ------
    fault : str
        One sentence each: drained it weighs its dry mass and the water it holds; water and air fill no more
        than its pores.
    """
    dry, water, wet = (
        ends(value) for value in (substrate.dry_density, substrate.water_capacity, substrate.wet_density)
    )
    for end in (0, 1):
        expected = dry[end] + WATER * water[end]
        if abs(wet[end] - expected) > LOAD_ROUNDING:
            yield f"wet_density: {wet[end]:g} kg m-3 is not dry mass and water, {expected:g}"
    air = ends(substrate.air_filled)
    # The ends are of different samples: what holds least water may hold most air. The lower ends always go together.
    pores = 1.0 if substrate.total_pores is None else ends(substrate.total_pores)[1]
    if water[0] + air[0] > pores + SHARE_ROUNDING:
        yield f"air_filled: with the water {water[0] + air[0]:.3g}, more than the pores of {pores:.3g}"


def ends(value: Sourced) -> tuple[float, float]:
    """Return the lower and the higher end of a band."""
    assert isinstance(value.value, tuple), f"{value.where} is no band"
    low, high = value.value
    return low, high


def _told(pair: tuple[float, float]) -> str:
    return f"{pair[0]:g}-{pair[1]:g}"
