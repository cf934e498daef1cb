"""A plan as a box of heat and air: made once, run for any season and any world."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.physics.air_layers import CONDUCTIVITY, ENTRAINMENT, VIRTUAL_ORIGIN, Mixing
from sunfleck.physics.thermal_box import STEP, STEPS, Lamps, Room, Surfaces, ThermalBox, Thermostats
from sunfleck.plan.enclosure import Window
from sunfleck.studies.climate.columns import AirColumn, air_column
from sunfleck.studies.climate.landings import Watts, watts_of
from sunfleck.studies.climate.loose import Loose, loose_matrix
from sunfleck.studies.climate.probes import thermostats_of
from sunfleck.studies.climate.seasons import Hours, Season, hours_lit, hours_of
from sunfleck.studies.climate.shells import Shells, shells_of
from sunfleck.studies.climate.sunshine import brightest_sun, sun_of, sun_share
from sunfleck.studies.interreflection import Interior

Floats = NDArray[np.float64]

# Columns of a film law that grow with the root of what passes, and those that grow with it.
BY_ROOT, BY_ITSELF = [0, 1, 4, 5], [3, 7]


@dataclass(frozen=True, eq=False)
class ClimateModel:
    """A plan as heat sees it.

    Attributes
    ----------
    interior : Interior
        Patches, their exchange, and where light lands.
    column : AirColumn
        Layers and openings.
    shells : Shells
        Surfaces of even temperature.
    watts : tuple of Watts
        Where the power of each lamp goes.
    thermostats : Thermostats
        What drives them.
    summer_hours, winter_hours : Hours
        When the enclosure is judged, in either half of the year.
    expected : Loose
        The world that is expected: as written until readings move it.
    """

    interior: Interior
    column: AirColumn
    shells: Shells
    watts: tuple[Watts, ...]
    thermostats: Thermostats
    summer_hours: Hours
    winter_hours: Hours
    expected: Loose

    @property
    def brief(self) -> Brief:
        """The resolved plan."""
        return self.interior.brief

    def hours(self, season: Season) -> Hours:
        """When the enclosure is judged on a day of a season."""
        return self.winter_hours if season.cold_half else self.summer_hours

    def timer(self, season: Season) -> Floats:
        """Level that timers and the plan's dimming leave at each step of the day, (steps, f). [-]"""
        middle = (np.arange(STEPS) + 0.5) * STEP
        columns = []
        for fixture in self.brief.fixtures:
            lit = np.zeros(STEPS, dtype=bool)
            for start, end in hours_lit(fixture, cold_half=season.cold_half):
                lit |= (middle >= start) & (middle < end)
            columns.append(lit * fixture.level.value)
        return np.stack(columns, axis=1) if columns else np.zeros((STEPS, 0))

    def warming(self, season: Season) -> float:
        """How much all that its lamps draw warms the room, on average over the day; 0 where nobody says. [K]

        What is kept by thermostats counts as drawn: the room is not cooler than this says.
        """
        site = self.brief.plan.site
        loss = site.room.loss if site is not None and site.room is not None else None
        if loss is None or not self.watts:
            return 0.0
        electric = np.array([watts.electric for watts in self.watts])
        return float((self.timer(season) @ electric).mean()) / loss

    def room(self, season: Season, shift: float = 0.0) -> Room:
        """The room on a day of a season, warmed by all lamps, and `shift` warmer than written. [K]"""
        return season.room(shift + self.warming(season))

    @cached_property
    def sunlit(self) -> tuple[Floats, float]:
        """Share of the sun on its panes that each surface takes up, (s,), and the area of those panes. [-], [m2]"""
        if self._window is None:
            return np.zeros(len(self.shells.shells)), 0.0
        return sun_share(self.interior, self.shells, self._window)

    @property
    def sees_sun(self) -> bool:
        """Whether sun falls on its panes at all."""
        return self._latitude is not None and self.sunlit[1] > 0

    def sun_patch(self, season: Season) -> float:
        """Strongest sun of a day on a surface that faces it, through window and pane. [W m-2]"""
        if self._window is None or self._latitude is None:
            return 0.0
        return brightest_sun(self.interior, self._window, self._latitude, season)

    @property
    def _window(self) -> Window | None:
        site = self.brief.plan.site
        return site.window if site is not None else None

    @property
    def _latitude(self) -> float | None:
        site = self.brief.plan.site
        return site.latitude if site is not None else None

    def box(self, season: Season, loose: Loose | None = None) -> ThermalBox:
        """The box on a day of a season, in the world that is expected or in another."""
        loose = loose or self.expected
        surfaces = self._surfaces(loose)
        vents = self.column.vents
        return ThermalBox(
            self.column.edges,
            self.column.volume,
            self.column.floor,
            replace(
                vents,
                area=loose.leaks * vents.area,
                exchange=loose.leaks * vents.exchange,
                forced=loose.leaks * vents.forced,
            ),
            Mixing(
                ENTRAINMENT * loose.entrainment, VIRTUAL_ORIGIN * loose.origin, CONDUCTIVITY * loose.mixing
            ),
            surfaces,
            self._lamps(loose, season),
            self.thermostats,
            sun_of(*self.sunlit, self._window, self._latitude, season, loose.sun),
            self.room(season, loose.room),
        )

    def _surfaces(self, loose: Loose) -> Surfaces:
        surfaces = self.shells.surfaces
        law = surfaces.law.copy()
        law[:, BY_ROOT] *= np.sqrt(loose.films)
        law[:, BY_ITSELF] *= loose.films
        onward, capacity = surfaces.onward * loose.walls, surfaces.capacity.copy()
        for shell in self.shells.index_of("ground"):
            cells = slice(surfaces.first[shell], surfaces.first[shell + 1])
            onward[cells] = surfaces.onward[cells] * loose.ground
            capacity[cells] *= loose.ground
        changed = replace(
            surfaces, law=law, onward=onward, capacity=capacity, to_room=surfaces.to_room * loose.outer
        )
        return changed.steadied()

    def _lamps(self, loose: Loose, season: Season) -> Lamps:
        radiates = np.array(loose.lamps) if loose.lamps else np.ones(len(self.watts))
        radiant = np.array([watts.radiant for watts in self.watts]) * radiates
        # A lamp that radiates more heats the air beside it less: what it draws is on its label.
        into_air = np.array([w.into_air for w in self.watts]) - np.array(
            [w.radiant * (f - 1.0) if w.inside else 0.0 for w, f in zip(self.watts, radiates, strict=True)]
        )
        share = np.array([w.share for w in self.watts]).reshape(len(self.watts), len(self.shells.shells))
        height = np.array([w.height for w in self.watts])
        return Lamps(self.timer(season), radiant, np.clip(into_air, 0.0, None), height, share)


def climate_model(interior: Interior) -> ClimateModel:
    """Make the box of a plan.

    Parameters
    ----------
    interior : Interior
        The inside of the box as it reflects.

    Returns
    -------
    model : ClimateModel
        Ready for any season.
    """
    column = air_column(interior.brief)
    shells = shells_of(interior, column)
    return ClimateModel(
        interior,
        column,
        shells,
        watts_of(interior, shells),
        thermostats_of(interior, column, shells),
        hours_of(interior.brief),
        hours_of(interior.brief, cold_half=True),
        loose_matrix(interior.brief).expected,
    )
