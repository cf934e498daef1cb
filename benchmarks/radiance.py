"""The same light by Radiance's ray tracer (through `pyradiance`), and its cheapest setting for an accuracy.

Each tube is a row of thin glowing cylinders, Radiance's own shape for it. How finely it samples them is
decided by their number and by its options: `-ds` cuts each further until a piece is shorter than this share
of its distance, `-dj` moves samples at random within pieces, `-dt` passes over lamps that matter little.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import product
from math import pi
from pathlib import Path
from time import perf_counter

import numpy as np
from numpy.typing import NDArray

from benchmarks.reference import rms
from sunfleck.physics.emitters import LineEmitter

Floats = NDArray[np.float64]

# Thin, because the engine's tube is a line; the samples of a thicker one would hit its neighbour. [m]
RADIUS = 1e-4
# Radiance measures irradiance so far above the given point (see oracles.radiance). [m]
LIFT = 1e-4
PIECES = (4, 16, 64)
SUBDIVISIONS = (0.2, 0.1, 0.07, 0.05, 0.03, 0.02, 0.014, 0.01, 0.007, 0.005)
# Jitter and threshold: neither, or one of the two.
EXTRAS = ((0.0, 0.0), (0.5, 0.0), (0.0, 0.003))
# Settings that reach the accuracy in a first try on fewer receivers and are then timed on all.
FINALISTS = 8


@dataclass(frozen=True)
class Setting:
    """How finely Radiance samples tubes."""

    pieces: int
    subdivision: float
    jitter: float
    threshold: float = 0.0

    @property
    def options(self) -> str:
        """For `rtrace`: direct light only, every lamp tested, no virtual lamps."""
        fineness = f"-ds {self.subdivision} -dj {self.jitter} -dt {self.threshold}"
        return f"-ab 0 -lr 0 -dc 1 -dr 0 {fineness}"

    def __str__(self) -> str:
        jitter = f", -dj {self.jitter:g}" if self.jitter else ""
        threshold = f", -dt {self.threshold:g}" if self.threshold else ""
        return f"{self.pieces} pieces a tube, -ds {self.subdivision:g}{jitter}{threshold}"


@dataclass(frozen=True)
class Trial:
    """What a setting gives: its error [%], and the time of its rays [s]."""

    setting: Setting
    error: float
    seconds: float


class Radiance:
    """Two or more tubes among black triangles, as octrees in a folder of its own; one process, one thread."""

    def __init__(self, folder: Path, triangles: Floats, tubes: tuple[LineEmitter, ...]) -> None:
        self.folder, self.triangles, self.tubes = folder, triangles, tubes

    def finalists(
        self,
        points: Floats,
        normals: Floats,
        expected: Floats,
        accuracy: float,
        settings: tuple[Setting, ...] | None = None,
    ) -> list[Trial]:
        """Try all settings once: the quickest that are within an accuracy [%] of what is expected.

        If none is accurate enough, the most accurate.
        """
        tried = []
        for setting in settings or _settings():
            start = min(self.seconds(setting, points[:1], normals[:1]) for _ in range(2))
            begin = perf_counter()
            found = self.irradiance(setting, points, normals)
            tried.append(Trial(setting, rms(found, expected), max(perf_counter() - begin - start, 1e-9)))
        good = sorted((trial for trial in tried if trial.error <= accuracy), key=lambda trial: trial.seconds)
        return good[:FINALISTS] or [min(tried, key=lambda trial: trial.error)]

    def seconds(self, setting: Setting, points: Floats, normals: Floats) -> float:
        """Time of the whole command, start and loading included. [s]"""
        begin = perf_counter()
        self.irradiance(setting, points, normals)
        return perf_counter() - begin

    def irradiance(self, setting: Setting, points: Floats, normals: Floats) -> Floats:
        """Irradiance per watt of each tube together. [m-2]"""
        import pyradiance  # noqa: PLC0415  # the other rows need no oracle

        octree = self.folder / f"{setting.pieces}.oct"
        if not octree.exists():
            scene = octree.with_suffix(".rad")
            scene.write_text("\n".join(self._scene(setting.pieces)) + "\n", encoding="ascii")
            octree.write_bytes(pyradiance.oconv(str(scene), warning=False))
        answer = pyradiance.rtrace(
            np.concatenate([points - LIFT * normals, normals], axis=1).astype("<f8").tobytes(),
            octree,
            header=False,
            inform="d",
            outform="d",
            irradiance=True,
            nproc=1,
            params=setting.options.split(),
        )
        return np.frombuffer(answer, dtype="<f8").reshape(-1, 3)[:, 1].copy()

    def _scene(self, pieces: int) -> Iterator[str]:
        yield "void plastic black 0 0 5 0 0 0 0 0"
        for k, triangle in enumerate(self.triangles):
            yield f"black polygon t{k} 0 0 9 {_numbers(triangle)}"
        for k, tube in enumerate(self.tubes):
            radiance = 1 / (pi * 2 * pi * RADIUS * tube.length)
            yield f"void light glow{k} 0 0 3" + f" {radiance:.17g}" * 3
            ends = tube.start + np.linspace(0, 1, pieces + 1)[:, None] * (tube.end - tube.start)
            for j in range(pieces):
                yield f"glow{k} cylinder c{k}x{j} 0 0 7 {_numbers((ends[j], ends[j + 1]))} {RADIUS}"


def _settings() -> tuple[Setting, ...]:
    return tuple(Setting(n, ds, *extra) for n, ds, extra in product(PIECES, SUBDIVISIONS, EXTRAS))


def _numbers(values: object) -> str:
    return " ".join(f"{x:.17g}" for x in np.ravel(values))
