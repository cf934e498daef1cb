"""The box from the front and from above, as a sheet of stations shows it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.geometry.boxes import FACE_AXES, part_of_face
from sunfleck.studies.meter.station_plan import StationPlan
from sunfleck.studies.slices import Outline, outlines_at


@dataclass(frozen=True)
class SheetView:
    """One drawing of the box.

    Attributes
    ----------
    title : str
        What it shows.
    across_label, up_label : str
        Names of its two directions.
    outlines : tuple of Outline
        Everything in it. [m]
    marks : tuple of (int, (2,) float)
        Number and place of every station. [m]
    """

    title: str
    across_label: str
    up_label: str
    outlines: tuple[Outline, ...]
    marks: tuple[tuple[int, NDArray[np.float64]], ...]


VIEWS = (
    (1, "From the front", "from the left", "from the bottom"),
    (2, "From above", "from the left", "from the front"),
)


def sheet_views(brief: Brief, plan: StationPlan) -> tuple[SheetView, ...]:
    """Return both drawings of a box with its stations.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    plan : StationPlan
        Its stations.

    Returns
    -------
    views : tuple of SheetView
        From the front and from above. [m]
    """
    around = brief.surroundings
    middle = (around.inside.low + around.inside.high) / 2
    found = []
    for axis, title, across, up in VIEWS:
        pick = [k for k in range(3) if k != axis]
        outlines = [
            outline
            for outline in outlines_at(brief, axis, float(middle[axis]))
            # A panel behind everything would be a grey ground under everything.
            if outline.cut or outline.kind != "background"
        ]
        for door in brief.plan.enclosure.doors:
            # Doors in the face one looks through; those seen edge on are among the outlines.
            if FACE_AXES[door.face][0] == axis:
                part = part_of_face(around.inside.low, around.inside.high, door.face, door.at, door.size)
                u, v = part.edge_u, part.edge_v
                corners = np.array([part.origin, part.origin + u, part.origin + u + v, part.origin + v])
                outlines.append(Outline(door.name, "door", corners[:, pick], closed=True))
        marks = tuple((station.number, np.array(station.at)[pick]) for station in plan.stations)
        found.append(SheetView(title, across, up, tuple(outlines), marks))
    return tuple(found)
