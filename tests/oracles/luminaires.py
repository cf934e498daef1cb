"""IES LM-63 files by Radiance's `ies2rad` (it ships with `pyradiance`), and light by `rtrace` of what it writes.

`ies2rad` turns a file into a table of radiance over angle (``.dat``, in W sr-1 of 179 lm, without the multipliers)
and a scene that names the table, the multiplier and the shape (``.rad``). A luminaire without an opening is a sphere
of 1 mm there: its intensity over the square of the distance is the illuminance that `rtrace` must find.
"""

from __future__ import annotations

import os
import subprocess
import tempfile
from pathlib import Path

import numpy as np

LUMENS_PER_WATT = 179.0  # Radiance's own: WHTEFFICACY


def _converted(folder: Path, data: bytes) -> str:
    import pyradiance

    home = Path(pyradiance.__file__).parent
    (folder / "lamp.ies").write_bytes(data)
    done = subprocess.run(
        [str(home / "bin" / "ies2rad"), "-t", "default", "lamp.ies"],
        cwd=folder,
        env={**os.environ, "RAYPATH": f"{home / 'lib'}"},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return (folder / "lamp.rad").read_text()


def table_of(data: bytes):
    """Angles and candela of an IES file's own table as `ies2rad` understands it, without the factors.

    Returns
    -------
    horizontal, vertical : (h,), (v,) float
        As in the file; one 0 where the table has no horizontal angles. [deg]
    intensity : (h, v) float
        [cd]
    """
    with tempfile.TemporaryDirectory() as name:
        _converted(Path(name), data)
        words = (Path(name) / "lamp.dat").read_text().split()
    numbers = [float(word) for word in words]
    axes, at = [], 1
    for _ in range(int(numbers[0])):
        first, last, count = numbers[at], numbers[at + 1], int(numbers[at + 2])
        at += 3
        if first == last == 0:
            axes.append(np.array(numbers[at : at + count]))
            at += count
        else:
            axes.append(np.linspace(first, last, count))
    if len(axes) == 1:
        axes.insert(0, np.zeros(1))
    table = LUMENS_PER_WATT * np.array(numbers[at:]).reshape(len(axes[0]), len(axes[1]))
    return axes[0], axes[1], table


def shape_of(data: bytes) -> str:
    """What `ies2rad` calls the opening of a file."""
    with tempfile.TemporaryDirectory() as name:
        scene = _converted(Path(name), data)
    return next(line.split(" = ")[1] for line in scene.splitlines() if line.startswith("# IES file shape"))


def illuminance(data: bytes, points):
    """Illuminance that a luminaire of no size, at the origin, gives on planes that face it.

    Parameters
    ----------
    data : bytes
        An IES file with an opening of 0 x 0 x 0.
    points : (n, 3) float
        At least some decimetres away. [m]

    Returns
    -------
    illuminance : (n,) float
        [lx]
    """
    import pyradiance

    points = np.asarray(points, float)
    facing = -points / np.linalg.norm(points, axis=1, keepdims=True)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        scene = _converted(folder, data).replace("lamp.dat", str(folder / "lamp.dat"))
        (folder / "lamp.rad").write_text(scene)
        (folder / "lamp.oct").write_bytes(pyradiance.oconv(str(folder / "lamp.rad"), warning=False))
        answer = pyradiance.rtrace(
            np.concatenate([points, facing], axis=1).astype("<f8").tobytes(),
            folder / "lamp.oct",
            header=False,
            inform="d",
            outform="d",
            irradiance=True,
            nproc=1,
            params=["-ab", "0", "-dt", "0", "-dc", "1", "-ds", "0", "-dj", "0", "-dr", "0", "-lr", "0"],
        )
    return LUMENS_PER_WATT * np.frombuffer(answer, dtype="<f8").reshape(-1, 3)[:, 1]
