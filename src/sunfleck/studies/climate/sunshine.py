"""Sun that comes through a window of the room and falls on a pane of the box."""

from __future__ import annotations

from math import degrees

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.givens import number
from sunfleck.library.entries import Pane
from sunfleck.physics.exchange import interreflect
from sunfleck.physics.sun import MIDDLE_DAYS, clear_sky, on_wall
from sunfleck.physics.thermal_box import STEPS, Sun
from sunfleck.plan.enclosure import Window
from sunfleck.studies.climate.seasons import Season
from sunfleck.studies.climate.shells import Shells
from sunfleck.studies.interreflection import Interior

Floats = NDArray[np.float64]

# Of the light on a double-glazed window, what comes through squarely, and of the sky's and the ground's, what a box
# that stands before it is shown. Common practice, no source.
THROUGH_GLAZING = 0.7
SHOWN_OF_SKY = 0.3


def sun_share(interior: Interior, shells: Shells, window: Window) -> tuple[Floats, float]:
    """What becomes of sunlight on the panes of a face.

    Parameters
    ----------
    interior : Interior
        Patches and how they exchange light.
    shells : Shells
        Surfaces of even temperature.
    window : Window
        Which face it falls on.

    Returns
    -------
    share : (s,) float
        Share of what falls on the panes that each surface takes up. [-]
    area : float
        Of those panes. [m2]

    Notes
    -----
    What comes through a pane is spread in all directions, as through frosted glass; what each pane lets through is
    that of light from all directions, nearly.
    """
    around = interior.brief.surroundings.surfaces
    count = interior.scene.outside
    landed, in_pane = np.zeros(count), np.zeros(len(shells.shells) + 1)
    total = 0.0
    for k, surface in enumerate(around):
        pane = _pane(interior, k)
        if pane is None or surface.part.face != window.falls_on:
            continue
        through = number(pane.transmittance_radiant)
        reflected = surface.reflectance["radiant"].value
        for patch in np.flatnonzero(interior.surface_of_patch == k):
            area = float(interior.exchange.area[patch])
            if area <= 0:
                continue
            total += area
            ways = interior.exchange.conductance[patch, :count] / area
            landed += through * area * ways
            in_pane[shells.of_patch[patch]] += area * max(0.0, 1.0 - through - reflected)
    if total <= 0:
        return np.zeros(len(shells.shells)), 0.0
    _, absorbed, _ = interreflect(interior.exchange, interior.reflectance("radiant"), landed[:, None])
    kept = absorbed[:, 0].copy()
    for k in range(len(around)):
        pane = _pane(interior, k)
        if pane is not None:
            # What falls on a pane from inside goes out again but for what it takes up.
            patches = interior.surface_of_patch == k
            rest = max(1e-9, 1.0 - around[k].reflectance["radiant"].value)
            kept[patches] *= float(np.clip(1.0 - number(pane.transmittance_radiant) / rest, 0.0, 1.0))
    np.add.at(in_pane, shells.of_patch, kept)
    return in_pane[:-1] / total, total


def sun_of(
    share: Floats, area: float, window: Window | None, latitude: float | None, season: Season, factor: float
) -> Sun:
    """The sun of a season, at each step of the day.

    Parameters
    ----------
    share : (s,) float
        As :func:`sun_share` gives it. [-]
    area : float
        Of the panes. [m2]
    window : Window or None
        Of the room.
    latitude : float or None
        North positive. [deg]
    season : Season
        Its month, and how clear its sky is.
    factor : float
        How much more there is than computed. [-]

    Returns
    -------
    sun : Sun
        Nothing without a window, a latitude or a pane. [W]
    """
    if window is None or latitude is None or area <= 0 or season.clear <= 0:
        return Sun.none(len(share))
    hour = (np.arange(STEPS) + 0.5) * 24.0 / STEPS
    parts = on_wall(latitude, MIDDLE_DAYS[season.month], hour, degrees(window.azimuth))
    direct, sky, reflected = (np.asarray(part) for part in parts)
    falls = THROUGH_GLAZING * (window.share * direct + SHOWN_OF_SKY * (sky + reflected))
    return Sun((falls * area * season.clear * factor)[:, None], share[None, :])


def brightest_sun(interior: Interior, window: Window, latitude: float, season: Season) -> float:
    """Strongest sun of a day on a surface in the box that faces it, through window and pane. [W m-2]

    Parameters
    ----------
    interior : Interior
        Its surfaces.
    window : Window
        Of the room, and which face it falls on.
    latitude : float
        North positive. [deg]
    season : Season
        Its month, and how clear its sky is.

    Returns
    -------
    irradiance : float
        0 where no pane is on that face. [W m-2]

    Notes
    -----
    The whole beam goes through both as it does squarely, whenever the sun stands before the window at all, and the
    surface is turned to it: more than any real one gets.
    """
    panes = [
        number(pane.transmittance_radiant)
        for k, surface in enumerate(interior.brief.surroundings.surfaces)
        if surface.part.face == window.falls_on and (pane := _pane(interior, k)) is not None
    ]
    hour = (np.arange(STEPS) + 0.5) * 24.0 / STEPS
    day = MIDDLE_DAYS[season.month]
    beam = np.asarray(clear_sky(latitude, day, hour)[0])
    direct, sky, reflected = (
        np.asarray(part) for part in on_wall(latitude, day, hour, degrees(window.azimuth))
    )
    falls = window.share * np.where(direct > 0.0, beam, 0.0) + SHOWN_OF_SKY * (sky + reflected)
    return float(season.clear * THROUGH_GLAZING * max(panes, default=0.0) * falls.max())


def _pane(interior: Interior, surface: int) -> Pane | None:
    """The pane that a surface is; None where it is opaque, a mesh or leaves."""
    around = interior.brief.surroundings.surfaces[surface]
    if around.opaque or around.part.kind not in {"wall", "door"}:
        return None
    return interior.brief.library.panes.get(around.reflectance["radiant"].id.split("/")[1])
