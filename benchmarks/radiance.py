"""The same light by Radiance's ray tracer (through `pyradiance`), and its cheapest setting for an accuracy.

Each tube is a row of thin glowing cylinders, Radiance's own shape for it. How finely it samples them is
decided by their number and by its options: `-ds` cuts each further until a piece is shorter than this share
of its distance, `-dj` moves samples at random within pieces, `-dt` passes over lamps that matter little.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from itertools import product
from math import pi
from pathlib import Path
from tempfile import TemporaryDirectory
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
FINALISTS = 3


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
class Answer:
    """What a setting gives: irradiance [m-2], its error [%], and the time of its rays [s]."""

    setting: Setting
    irradiance: Floats
    error: float
    seconds: float


def cheapest(
    triangles: Floats,
    tubes: tuple[LineEmitter, ...],
    points: Floats,
    normals: Floats,
    expected: Floats,
    accuracy: float,
    repeats: int,
    settings: tuple[Setting, ...] | None = None,
) -> Answer:
    """The quickest answer for all points that is within an accuracy [%] of what is expected of the first.

    All settings are tried on the points with an expected value; the quickest of them answer for all. If none
    is accurate enough, the most accurate.
    """
    known = len(expected)
    tried = []
    with _octrees(triangles, tubes) as octree:
        for setting in settings or _settings():
            found, seconds = _timed(octree(setting.pieces), setting, points[:known], normals[:known], 1)
            tried.append(Answer(setting, found, rms(found, expected), seconds))
        good = sorted((a for a in tried if a.error <= accuracy), key=lambda a: a.seconds)
        finalists = good[:FINALISTS] or [min(tried, key=lambda a: a.error)]
        answers = []
        for answer in finalists:
            setting = answer.setting
            found, seconds = _timed(octree(setting.pieces), setting, points, normals, repeats)
            answers.append(Answer(setting, found, rms(found[:known], expected), seconds))
    return min(answers, key=lambda answer: answer.seconds)


def _settings() -> tuple[Setting, ...]:
    return tuple(Setting(n, ds, *extra) for n, ds, extra in product(PIECES, SUBDIVISIONS, EXTRAS))


@contextmanager
def _octrees(triangles: Floats, tubes: tuple[LineEmitter, ...]) -> Iterator:
    """Give a function that returns the octree for a number of pieces."""
    with TemporaryDirectory() as folder:

        def octree(pieces: int) -> Path:
            file = Path(folder) / f"{pieces}.oct"
            if not file.exists():
                file.write_bytes(_octree(Path(folder) / f"{pieces}.rad", triangles, tubes, pieces))
            return file

        yield octree


def _octree(file: Path, triangles: Floats, tubes: tuple[LineEmitter, ...], pieces: int) -> bytes:
    import pyradiance  # noqa: PLC0415  # the other rows need no oracle

    lines = ["void plastic black 0 0 5 0 0 0 0 0"]
    lines += [f"black polygon t{k} 0 0 9 {_numbers(t)}" for k, t in enumerate(triangles)]
    for k, tube in enumerate(tubes):
        radiance = 1 / (pi * 2 * pi * RADIUS * tube.length)
        lines.append(f"void light glow{k} 0 0 3" + f" {radiance:.17g}" * 3)
        ends = tube.start + np.linspace(0, 1, pieces + 1)[:, None] * (tube.end - tube.start)
        lines += [
            f"glow{k} cylinder c{k}x{j} 0 0 7 {_numbers((ends[j], ends[j + 1]))} {RADIUS}"
            for j in range(pieces)
        ]
    file.write_text("\n".join(lines) + "\n", encoding="ascii")
    return pyradiance.oconv(str(file), warning=False)


def _timed(
    octree: Path, setting: Setting, points: Floats, normals: Floats, repeats: int
) -> tuple[Floats, float]:
    """Irradiance, and the shortest time beyond that of the same command for one receiver. [m-2, s]"""
    repeats = max(repeats, 1)
    start = min(_ask(octree, setting, points[:1], normals[:1])[1] for _ in range(repeats + 1))
    answers = [_ask(octree, setting, points, normals) for _ in range(repeats)]
    return answers[0][0], max(min(seconds for _, seconds in answers) - start, 1e-9)


def _ask(octree: Path, setting: Setting, points: Floats, normals: Floats) -> tuple[Floats, float]:
    import pyradiance  # noqa: PLC0415  # the other rows need no oracle

    asked = np.concatenate([points - LIFT * normals, normals], axis=1).astype("<f8").tobytes()
    begin = perf_counter()
    answer = pyradiance.rtrace(
        asked,
        octree,
        header=False,
        inform="d",
        outform="d",
        irradiance=True,
        nproc=1,
        params=setting.options.split(),
    )
    seconds = perf_counter() - begin
    return np.frombuffer(answer, dtype="<f8").reshape(-1, 3)[:, 1].copy(), seconds


def _numbers(values: object) -> str:
    return " ".join(f"{x:.17g}" for x in np.ravel(values))
