"""What thermometers would read at their stations, in any world."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sunfleck.brief.build import Brief
from sunfleck.brief.factors import FactorMatrix
from sunfleck.studies.climate.animal import Underlay, films_of, lit_surface, room_by_day, underlay_of
from sunfleck.studies.climate.loose import LooseMatrix, loose_matrix
from sunfleck.studies.climate.model import ClimateModel, climate_model
from sunfleck.studies.climate.probes import surrounding_weights
from sunfleck.studies.climate.seasons import USUAL_HUMIDITY, Season
from sunfleck.studies.climate.worlds import SeasonWorlds, season_worlds
from sunfleck.studies.day import fullest
from sunfleck.studies.interreflection import Interior
from sunfleck.studies.light import light_field
from sunfleck.studies.meter.light_predictions import Group
from sunfleck.studies.meter.meter_readings import OF_WARMTH, MeterReading
from sunfleck.studies.setting import Setting, setting_for

Floats = NDArray[np.float64]

UP = (0.0, 0.0, 1.0)
# Air and surfaces are predicted of a day on which lamps have burned for hours: what is read before is not held against
# them. Common practice, no source. [s]
SETTLED = 3 * 3600.0
# A surface is known where an animal can rest; a station so far from there is another surface. [m]
NEAR = 0.10


@dataclass(frozen=True, eq=False)
class _Round:
    """One state of the box in which thermometers were read: its days, and the radiant heat at the surfaces read."""

    model: ClimateModel
    worlds: SeasonWorlds
    lamps: tuple[Group, ...]
    overhead: Floats
    place: dict[MeterReading, int]


class WarmthPredictions:
    """What each thermometer would read in worlds of the factors of light and heat.

    Parameters
    ----------
    brief : Brief
        The resolved plan.
    interior : Interior
        Its inside as it reflects.
    readings : sequence of MeterReading
        Of temperatures, and others, which are passed over.
    """

    def __init__(self, brief: Brief, interior: Interior, readings: Sequence[MeterReading]) -> None:
        self.brief, self.interior = brief, interior
        lit = fullest(brief)
        self._settings = tuple(setting_for(brief, animal, lit, interior) for animal in brief.animals)
        self._prior = loose_matrix(brief)
        self._under: dict[MeterReading, Underlay] = {}
        self._rounds: dict[tuple[float, tuple[str, ...]], _Round] = {}
        alike: dict[tuple[float, tuple[str, ...]], list[MeterReading]] = {}
        for reading in readings:
            if reading.quantity in OF_WARMTH and not self.why_not(reading) and reading.room is not None:
                alike.setdefault((reading.room, reading.lit), []).append(reading)
        for (room, names), group in alike.items():
            self._rounds[room, names] = self._round(room, names, group)

    def why_not(self, reading: MeterReading) -> str:
        """Say why a temperature is not used; "" where it is."""
        if reading.room is None:
            return "the survey does not say how warm the room was (room)"
        if not reading.lit:
            return "no lamp was on: how long the box had cooled is not known"
        if reading.burned < SETTLED:
            hours = f"{SETTLED / 3600.0:.0f} h"
            return f"lamps had not been on for {hours} (warm_up): air and surfaces still rose"
        if self.interior.brief.plan.enclosure.walls.default is None:
            return "the plan does not say what its walls are made of"
        if reading.quantity == "surface" and self._underlay(reading) is None:
            return "no animal rests within 10 cm of it: what the surface is made of is not known"
        return ""

    def kelvin(self, readings: Sequence[MeterReading], light: Floats, heat: Floats) -> Floats:
        """What is read in worlds of light (m, k1) and heat (m, k2), in standard deviations: (m, n). [K]"""
        # What a round brings with it (drift) comes last, and is of UV and brightness only.
        own = light[:, : len(self.brief.matrix.factors)]
        seen = replace(self.brief, matrix=_rows(self.brief.matrix, own), heat=_rows(self.brief.heat, heat))
        found = np.zeros((len(light), len(readings)))
        for key, each in self._rounds.items():
            columns = [k for k, r in enumerate(readings) if (r.room, r.lit) == key]
            if columns:
                loose = loose_matrix(seen, self._prior)
                worlds = replace(each.worlds, matrix=_indoors(loose))
                for k in columns:
                    found[:, k] = self._read(each, worlds, readings[k], seen.matrix.multipliers)
        return found

    def _read(self, each: _Round, worlds: SeasonWorlds, reading: MeterReading, multipliers: Floats) -> Floats:
        means, model = worlds.worlds, each.model
        height = float(reading.point[2]) - float(self.brief.surroundings.ground)
        layers = model.column.weights_at(max(0.0, height))
        air = np.asarray(means.air_day @ layers)
        if reading.quantity == "air":
            return air
        place = each.place[reading]
        radiant = np.zeros(len(air))
        for fixture, group in zip(self.brief.fixtures, each.lamps, strict=True):
            radiant += group.at(multipliers)[:, place] * means.level_most[:, fixture.index]
        weights, room = each.overhead[place], room_by_day(model, worlds)
        overhead = np.asarray((means.shells_day**4 @ weights[:-1] + weights[-1] * room**4) ** 0.25)
        under = self._underlay(reading)
        assert under is not None
        return lit_surface(np.clip(radiant, 0.0, None), air, overhead, films_of(worlds), under)

    def _round(self, room: float, lit: tuple[str, ...], readings: list[MeterReading]) -> _Round:
        fixtures = tuple(
            fixture
            if fixture.name in lit
            else replace(fixture, level=replace(fixture.level, value=0.0, source="off in the meter round"))
            for fixture in self.brief.fixtures
        )
        brief = replace(self.brief, fixtures=fixtures)
        model = climate_model(replace(self.interior, brief=brief))
        # The room was read with the box in it: what its lamps warm it by is in the reading.
        guess = Season("survey", "at the meter round", room, self._drop, USUAL_HUMIDITY, 0)
        season = replace(guess, warmth=room - model.warming(guess))
        worlds = season_worlds(model, season, self._prior)
        of_surfaces = [reading for reading in readings if reading.quantity == "surface"]
        points = np.array([reading.point for reading in of_surfaces]).reshape(-1, 3)
        field = light_field(self.brief, points, UP, self.interior)
        lamps = []
        for fixture in self.brief.fixtures:
            channel = field.channel("radiant", "normal", {fixture.name: 1.0}, as_planned=False)
            terms, coefficients = channel.terms, np.nan_to_num(channel.coefficients())
            lamps.append(Group(np.arange(len(points)), terms, coefficients))
        overhead = (
            surrounding_weights(self.interior, model.shells, points, above=True)
            if len(points)
            else np.zeros((0, len(model.shells.shells) + 1))
        )
        place = {reading: k for k, reading in enumerate(of_surfaces)}
        return _Round(model, worlds, tuple(lamps), overhead, place)

    @property
    def _drop(self) -> float:
        site = self.brief.plan.site
        return (site.room.night_drop or 0.0) if site is not None and site.room is not None else 0.0

    def _underlay(self, reading: MeterReading) -> Underlay | None:
        """What lies at the nearest place where an animal can rest; None where there is none near."""
        if reading not in self._under:
            found: tuple[float, Setting, int] | None = None
            for setting in self._settings:
                resting = np.concatenate(
                    [setting.strip_receivers(k) for k in range(len(setting.strips))] or [np.zeros(0, int)]
                )
                if not len(resting):
                    continue
                far = np.linalg.norm(setting.light.points[resting] - reading.point, axis=1)
                nearest = int(np.nanargmin(far))
                if found is None or far[nearest] < found[0]:
                    found = (float(far[nearest]), setting, int(resting[nearest]))
            if found is None or found[0] > NEAR:
                return None
            self._under[reading] = underlay_of(found[1], found[2])
        return self._under[reading]


def _rows(matrix: FactorMatrix, normals: Floats) -> FactorMatrix:
    return replace(matrix, normals=normals)


def _indoors(loose: LooseMatrix) -> LooseMatrix:
    """The same worlds in the room as it was read, and of this place: what differs elsewhere is not in a reading."""
    normals = loose.normals.copy()
    for field in ("room", "place", "near"):
        column = loose.fields.index(field)
        normals[:, column] = loose.centre[column]
    return replace(loose, normals=normals)
