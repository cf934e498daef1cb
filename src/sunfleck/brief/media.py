"""Meshes, panes and guards: thin sheets that take part of the light."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.factors import Factor, FactorTable
from sunfleck.brief.givens import Given, given_from_library, number
from sunfleck.geometry.boxes import FACES, Box, Rectangle, box_face
from sunfleck.library.loader import Library
from sunfleck.physics.media import LAW_MESH, LAW_PANE, MOST_GROUPS, Media
from sunfleck.plan.models import Plan
from sunfleck.plan.rules.names import BETWEEN

# Wide enough that all of a lamp's light to a meter below it goes through. [m]
WIDE = 20.0
KINDS_OF_LIGHT = ("uvi", "lux", "ppfd", "radiant", "long_wave")


@dataclass(frozen=True)
class Medium:
    """A mesh, pane or guard that takes part of the light.

    Attributes
    ----------
    id : str
        Its entry in the library, ``meshes/ID``.
    label : str
        Its name for people.
    transmittance : dict of str to Given
        Share let through at normal incidence, by channel; under ``long_wave`` that of the heat of a
        lamp that does not glow. [-]
    factor : dict of str to int
        Column of its uncertain factor, by channel; a channel without spread has none.
    crossings : int
        How often light that meets it goes through: once, or twice through the far and the near side
        of another lamp's guard. [-]
    """

    id: str
    label: str
    transmittance: dict[str, Given]
    factor: dict[str, int]
    crossings: int = 1


@dataclass(frozen=True)
class Sheet:
    """One flat piece of a medium.

    Attributes
    ----------
    rectangle : Rectangle
        Where it is. [m]
    medium : Medium
        What it is made of.
    law : int
        How it depends on angle, as :class:`sunfleck.physics.media.Media` numbers it.
    parameters : (2,) float
        Parameters of that law. [-]
    cage : Box or None
        The guard it is a side of. [m]
    """

    rectangle: Rectangle
    medium: Medium
    law: int
    parameters: tuple[float, float]
    cage: Box | None = None


def media_met_by(sheets: tuple[Sheet, ...], axis: NDArray[np.float64]) -> tuple[Media, tuple[Medium, ...]]:
    """Return the media as the light of one lamp meets them.

    Light leaves a guard round its own lamp once; it enters and leaves the guard of another lamp.

    Parameters
    ----------
    sheets : tuple of Sheet
        All of the plan.
    axis : (k, 3) float
        Points of the lamp. [m]

    Returns
    -------
    media : Media
        Rectangles with their groups. [m]
    kinds : tuple of Medium
        The medium of each group.
    """
    kinds: list[tuple[Medium, int]] = []
    groups = []
    for sheet in sheets:
        inside = sheet.cage is None or bool(sheet.cage.contains(axis).all())
        # Each guard of another lamp is a group of its own, as long as there are groups: light may cross two.
        key = (sheet.medium, 0) if inside else (replace(sheet.medium, crossings=2), id(sheet.cage))
        if key not in kinds and len(kinds) == MOST_GROUPS:
            key = next((kind for kind in kinds if kind[0] == key[0]), kinds[-1])
        if key not in kinds:
            kinds.append(key)
        groups.append(kinds.index(key))
    return _media(sheets, groups), tuple(medium for medium, _ in kinds)


def guard_cage(ends: NDArray[np.float64], radius: float, stand_off: float) -> Box:
    """Return the cage that a guard forms round a lamp, by the lamp's axis points (k, 3). [m]"""
    gap = radius + stand_off
    return Box(ends.min(axis=0) - gap, ends.max(axis=0) + gap)


def guard_sheets(plan: Plan, library: Library, table: FactorTable) -> tuple[Sheet, ...]:
    """Return the sides of every guard.

    Parameters
    ----------
    plan : Plan
        A checked plan.
    library : Library
        The library its ids belong to.
    table : FactorTable
        Collects the factors of the guards.

    Returns
    -------
    sheets : tuple of Sheet
        Six a guard, in the order of the fixtures.
    """
    sheets = SheetCollector(library, table)
    for fixture in plan.fixtures:
        if fixture.guard is None:
            continue
        lamp = library.lamps[fixture.lamp]
        ends = np.array([p for p in (fixture.from_, fixture.to, fixture.at) if p is not None])
        guard = library.guards[fixture.guard]
        cage = guard_cage(ends, number(lamp.diameter) / 2, number(guard.stand_off))
        for face in FACES:
            sheets.add("guards", fixture.guard, box_face(cage.low, cage.high, face), cage)
    return tuple(sheets.found)


def media_below(
    library: Library, table: FactorTable, ids: tuple[str, ...], distance: float
) -> tuple[Media, tuple[Medium, ...]]:
    """Return meshes, guards or panes laid flat between a lamp at the origin and a meter below it.

    Parameters
    ----------
    library : Library
        The library the ids belong to.
    table : FactorTable
        Collects their factors.
    ids : tuple of str
        Entries of the sections of `BETWEEN`, each once or more.
    distance : float
        From the lamp to the meter. [m]

    Returns
    -------
    media : Media
        One wide sheet each, in a group of its own. [m]
    kinds : tuple of Medium
        What they are made of.
    """
    sheets = SheetCollector(library, table)
    for k, id_ in enumerate(ids, start=1):
        section = next(section for section in BETWEEN if id_ in getattr(library, section))
        origin = np.array([-WIDE, -WIDE, -distance * k / (len(ids) + 1)])
        rectangle = Rectangle(origin, np.array([2 * WIDE, 0.0, 0.0]), np.array([0.0, 2 * WIDE, 0.0]))
        sheets.add(section, id_, rectangle)
    return _media(sheets.found, list(range(len(ids)))), tuple(sheet.medium for sheet in sheets.found)


def _media(sheets: Sequence[Sheet], groups: list[int]) -> Media:
    count = len(sheets)
    return Media(
        origin=np.array([sheet.rectangle.origin for sheet in sheets]).reshape(count, 3),
        edge_u=np.array([sheet.rectangle.edge_u for sheet in sheets]).reshape(count, 3),
        edge_v=np.array([sheet.rectangle.edge_v for sheet in sheets]).reshape(count, 3),
        group=np.array(groups, dtype=np.int64),
        law=np.array([sheet.law for sheet in sheets], dtype=np.int64),
        parameters=np.array([sheet.parameters for sheet in sheets], dtype=np.float64).reshape(count, 2),
    )


class SheetCollector:
    """Gathers the sheets of a plan; a medium is looked up once."""

    def __init__(self, library: Library, table: FactorTable) -> None:
        self.library = library
        self.found: list[Sheet] = []
        self._table = table
        self._media: dict[str, Medium] = {}

    def add(self, section: str, id_: str, rectangle: Rectangle, cage: Box | None = None) -> None:
        """Add a sheet of a library entry."""
        key = f"{section}/{id_}"
        entry = getattr(self.library, section)[id_]
        if key not in self._media:
            self._media[key] = self._medium(key, section, entry)
        if section == "panes":
            law, parameters = LAW_PANE, (number(entry.refractive_index), 0.0)
        else:
            wire = number(entry.wire)
            law, parameters = LAW_MESH, (wire / number(entry.pitch_u), wire / number(entry.pitch_v))
        self.found.append(Sheet(rectangle, self._media[key], law, parameters, cage))

    def _medium(self, key: str, section: str, entry: object) -> Medium:
        if section == "panes":
            fields = {
                "uvi": "transmittance_uv",
                "lux": "transmittance_visible",
                "ppfd": "transmittance_visible",
                "radiant": "transmittance_radiant",
                "long_wave": "transmittance_long_wave",
            }
        else:
            fields = dict.fromkeys(KINDS_OF_LIGHT, "open_share")
        label = str(getattr(entry, "name").value)  # noqa: B009  # entries of three sections share the field
        factor: dict[str, int] = {}
        for channel, field in fields.items():
            share = getattr(entry, field)
            if share.spread_low > 0 or share.spread_high > 0:
                factor[channel] = self._table.add(
                    Factor(
                        id=f"medium:{key}/{field}",
                        label=f"light through the {label}",
                        spread_low=share.spread_low,
                        spread_high=share.spread_high,
                        source=share.source,
                        basis=share.basis,
                    )
                )
        transmittance = {
            channel: given_from_library(
                f"{key}/{field}", f"share through the {label}, straight on", getattr(entry, field)
            )
            for channel, field in fields.items()
        }
        return Medium(key, label, transmittance, factor)
