"""The normal draws behind the factor matrix, made once on a machine and kept."""

from __future__ import annotations

import os
import tempfile
from functools import lru_cache
from importlib.metadata import version
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sunfleck.geometry.kernels import cache_folder

# How many sets of draws are held: a plan asks for two, the studies of meter rounds for a few more.
HELD = 32


@lru_cache(maxsize=HELD)
def standard_normals(rows: int, columns: int, seed: int, *, shuffled: bool = False) -> NDArray[np.float64]:
    """Draw standard normal numbers from a scrambled Sobol sequence.

    Parameters
    ----------
    rows : int
        A power of two. [-]
    columns : int
        How many independent factors. [-]
    seed : int
        Of the scrambling. [-]
    shuffled : bool
        Whether rows are put in an order of their own. One sequence scrambled with two seeds is not two independent
        draws (correlations of 0.95 were found): what is put beside other draws, row by row, needs this. [-]

    Returns
    -------
    draws : (rows, columns) float
        The same on every call, and not to be written to: one process shares them. Kept in the user's cache folder,
        because the library that draws them takes a second to load. A kept file that cannot be read or has another
        shape is drawn anew.
    """
    kept = cache_folder() / f"draws-{version('scipy')}-{rows}-{columns}-{seed}.npy"
    draws = _read(kept, (rows, columns))
    if draws is None:
        draws = _draw(rows, columns, seed)
        _keep(kept, draws)
    if shuffled:
        draws = draws[np.random.default_rng(seed).permutation(rows)]
    draws.flags.writeable = False
    return draws


def _draw(rows: int, columns: int, seed: int) -> NDArray[np.float64]:
    # Loaded when it is needed: the first time on a machine.
    from scipy.special import ndtri  # noqa: PLC0415  # takes a second, needed once on a machine
    from scipy.stats import qmc  # noqa: PLC0415  # takes a second, needed once on a machine

    uniform = qmc.Sobol(columns, scramble=True, rng=seed).random(rows)
    return np.asarray(ndtri(np.clip(uniform, 1e-12, 1 - 1e-12)))


def _read(file: Path, shape: tuple[int, int]) -> NDArray[np.float64] | None:
    try:
        draws = np.load(file, allow_pickle=False)
    except (OSError, ValueError, EOFError):
        return None
    sound = draws.shape == shape and draws.dtype == np.float64 and bool(np.isfinite(draws).all())
    return np.asarray(draws) if sound else None


def _keep(file: Path, draws: NDArray[np.float64]) -> None:
    """Write beside and put in place, so that nobody ever reads half a file; a full disk is no error."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        handle, beside = tempfile.mkstemp(dir=file.parent, suffix=".npy")
        with os.fdopen(handle, "wb") as stream:
            np.save(stream, draws)
        os.replace(beside, file)
    except OSError:
        return
