"""Named surfaces: what light lands on, and how much of it each gives back."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.factors import Factor, FactorTable
from sunfleck.brief.givens import Given, given_from_library, number
from sunfleck.geometry.boxes import Face
from sunfleck.geometry.patches import Sides
from sunfleck.library.entries import Finish, Mesh, Pane, Wood
from sunfleck.library.loader import Library
from sunfleck.physics.media import pane_reflectance

NOT_STATED = "not-stated"
LEAVES = "green-leaf"
FIELDS = {
    "uvi": "uv",
    "lux": "visible",
    "ppfd": "visible",
    "radiant": "radiant",
    "long_wave": "long_wave",
}

# Spread of reflected light as a whole, one sigma of its logarithm. Common practice, no source: the table of
# finishes gives ranges of a factor of 1.5 to 2 for most surfaces; wet or dusty ones give back less.
SPREADS = {"uvi": 0.35, "lux": 0.25, "ppfd": 0.25, "radiant": 0.20, "long_wave": 0.50}
SHARED_BY = {"ppfd": "lux"}


PartKind = Literal["wall", "door", "vent", "background", "ledge", "ground", "perch", "hide", "plant"]


@dataclass(frozen=True, slots=True)
class Part:
    """Which part of a plan a surface belongs to.

    Attributes
    ----------
    kind : str
        Which list of the plan.
    index : int
        Its place in that list; 0 where there is one only. [-]
    face : str or None
        Of a wall, door or vent, the face it is in.
    """

    kind: PartKind
    index: int = 0
    face: Face | None = None


@dataclass(frozen=True)
class NamedSurface:
    """A wall, panel, perch, pane or the leaves of a plant.

    Attributes
    ----------
    name : str
        In a builder's words.
    triangles : (m, 3, 3) float
        Its pieces; none for a porous crown. [m]
    sides : str
        Which sides belong to the scene, see :class:`sunfleck.geometry.patches.Surface`.
    opaque : bool
        Whether it stops light; panes and meshes do not.
    reflectance : dict of str to Given
        Share given back, all directions alike, by kind of light. [-]
    part : Part
        What it belongs to.
    """

    name: str
    triangles: NDArray[np.float64]
    sides: Sides
    opaque: bool
    reflectance: dict[str, Given]
    part: Part


def reflectances(library: Library, section: str, id_: str) -> dict[str, Given]:
    """Return how much an entry of the library reflects of each kind of light.

    Parameters
    ----------
    library : Library
        With the user's own values in it.
    section : str
        ``finishes``, ``woods``, ``panes`` or ``meshes``.
    id_ : str
        The entry.

    Returns
    -------
    reflectance : dict of str to Given
        By ``uvi``, ``lux``, ``ppfd``, ``radiant`` and ``long_wave``. [-]
    """
    entry = getattr(library, section)[id_]
    key = f"{section}/{id_}"
    return {kind: _reflectance(entry, key, kind, word) for kind, word in FIELDS.items()}


def _reflectance(entry: Finish | Wood | Pane | Mesh, key: str, kind: str, word: str) -> Given:
    label = f"share of it that {entry.name.value} gives back"
    if isinstance(entry, Mesh):
        source = "wires are taken as black: what they scatter is left out"
        return Given(f"{key}/reflectance/{kind}", label, 0.0, "", "computed", source, "derived", "")
    if isinstance(entry, Pane) and kind != "long_wave":
        through = number(getattr(entry, f"transmittance_{word}"))
        value = pane_reflectance(through, number(entry.refractive_index))
        source = "Fresnel's reflection of light from all directions at one face, and at the other as far as it passes"
        return Given(f"{key}/reflectance/{kind}", label, value, "", "computed", source, "derived", "")
    if kind == "long_wave":
        through = number(entry.transmittance_long_wave) if isinstance(entry, Pane) else 0.0
        value = max(0.0, 1.0 - number(entry.emissivity) - through)
        source = f"what is not taken up (emissivity: {entry.emissivity.source})"
        return Given(
            f"{key}/reflectance/{kind}", label, value, "", "computed", source, entry.emissivity.basis, ""
        )
    return given_from_library(f"{key}/reflectance_{word}", label, getattr(entry, f"reflectance_{word}"))


def reflection_factors(table: FactorTable) -> dict[str, int]:
    """Add the factors of reflected light to the table.

    Parameters
    ----------
    table : FactorTable
        Collects them.

    Returns
    -------
    columns : dict of str to int
        By kind of light; brightness and plant light share theirs.
    """
    columns = {}
    for kind, spread in SPREADS.items():
        name = SHARED_BY.get(kind, kind)
        factor = Factor(
            id=f"reflection:{name}",
            label="what walls and furnishing give back against the library's reflectances",
            spread_low=spread,
            spread_high=spread,
            source="wet, dusty, faded or unlisted surfaces, taken together",
            basis="common practice",
        )
        columns[kind] = table.add(factor)
    return columns
