"""Fifty readings taken into each example: places predicted, factors found, verdicts narrowed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from benchmarks.table import Row, best_of
from sunfleck.brief.build import make_brief
from sunfleck.plan.read import read_plan
from sunfleck.service.starting import STARTERS, write_new_plan
from sunfleck.studies.day import fullest
from sunfleck.studies.interreflection import interior_of
from sunfleck.studies.meter.calibration import calibrate
from sunfleck.studies.meter.drift import with_drift
from sunfleck.studies.meter.light_predictions import LightPredictions
from sunfleck.studies.meter.meter_readings import MeterReading
from sunfleck.studies.setting import setting_for

READINGS, SEED = 50, 1


def rows(*, tiny: bool) -> Iterator[Row]:
    """Time a calibration with all factors of light and heat."""
    with TemporaryDirectory() as folder:
        for name in ("arid",) if tiny else STARTERS:
            brief = make_brief(read_plan(write_new_plan(Path(folder) / name, name)))
            interior = interior_of(brief)
            setting = setting_for(brief, brief.animals[0], fullest(brief), interior)
            rng = np.random.default_rng(SEED)
            resting = np.concatenate([setting.strip_receivers(k) for k in range(len(setting.strips))])
            points = setting.points[rng.choice(resting, 5 if tiny else READINGS, replace=False)]
            lit = tuple(fixture.name for fixture in brief.fixtures)
            asked = [_reading(point, 1.0, lit) for point in points]
            repeats = 0 if tiny else 5
            places = partial(LightPredictions, with_drift(brief), interior, asked)
            seconds, light = best_of(repeats, places)
            yield Row(
                f"{len(asked)} places of the example {name}", seconds, "s", 2, None, "light and its slopes"
            )
            noise = np.exp(0.1 * rng.standard_normal(len(asked)))
            read = [
                replace(each, value=float(v)) for each, v in zip(asked, light.expected * noise, strict=True)
            ]
            seconds, found = best_of(repeats, partial(calibrate, brief, interior, read, light=light))
            note = f"{len(found.posterior.mode)} factors"
            yield Row(f"   {len(asked)} readings taken in", seconds, "s", 1, 0.2, note)


def _reading(point: np.ndarray, value: float, lit: tuple[str, ...]) -> MeterReading:
    return MeterReading(
        "survey",
        "place",
        point,
        "uvi",
        value,
        "up",
        "a meter",
        0.10,
        0.05,
        lit,
        False,
        294.15,
        4 * 3600.0,
        "here",
    )
