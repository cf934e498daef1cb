"""A year of both examples as twelve days that repeat themselves, and an ensemble of such years."""

from __future__ import annotations

import os
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from tempfile import TemporaryDirectory
from time import perf_counter

import numpy as np

from benchmarks.table import Row, best_of, cores
from sunfleck.brief.build import make_brief
from sunfleck.physics.thermal_days import resting_state, run_day
from sunfleck.plan.read import read_plan
from sunfleck.service.starting import STARTERS, write_new_plan
from sunfleck.studies.climate.loose import Loose, loose_matrix
from sunfleck.studies.climate.model import ClimateModel, climate_model
from sunfleck.studies.climate.seasons import seasons_of
from sunfleck.studies.climate.year import year_of
from sunfleck.studies.interreflection import interior_of

MEMBERS = 200
SHIFTS = ("room", "place")


def rows(*, tiny: bool) -> Iterator[Row]:
    """Time a day, a year and an ensemble of years."""
    with TemporaryDirectory() as folder:
        for name in ("arid",) if tiny else STARTERS:
            brief = make_brief(read_plan(write_new_plan(Path(folder) / name, name)))
            yield from _example(name, climate_model(interior_of(brief)), repeats=0 if tiny else 3)


def _example(name: str, model: ClimateModel, *, repeats: int) -> Iterator[Row]:
    sizes = f"{len(model.column.volume)} layers, {len(model.shells.shells)} surfaces"
    box = model.box(seasons_of(model.brief)[0])
    start = resting_state(box)
    seconds, _ = best_of(repeats, lambda: run_day(box, start))
    yield Row(f"a day of the example {name}, a row a minute", seconds, "s", 1, None, sizes)
    seconds, year = best_of(repeats, lambda: year_of(model))
    days = sum(month.day.days for month in year)
    note = f"twelve periodic days at one-minute output, {days} days run"
    yield Row(f"a year of the example {name}", seconds, "s", 1, 1.0, note)
    if not repeats:
        return
    worlds = [_loose(model, row) for row in range(MEMBERS)]
    began = perf_counter()
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(lambda loose: year_of(model, loose), worlds))
    taken = perf_counter() - began
    yield Row(
        f"   an ensemble of {MEMBERS} such years", taken, "s", cores(), 60.0, "each with its own factors"
    )


def _loose(model: ClimateModel, row: int) -> Loose:
    matrix = loose_matrix(model.brief)
    size = matrix.normals[row] * matrix.spreads
    values = dict(zip(matrix.fields, (float(x) for x in size), strict=True))
    lamps = tuple(float(np.exp(values.pop(f"lamps:{k}"))) for k in range(len(model.watts)))
    kept = {name: x if name in SHIFTS else float(np.exp(x)) for name, x in values.items()}
    return Loose(**kept, lamps=lamps)
