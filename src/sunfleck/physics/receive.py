"""Receivers of light: checked, cut into chunks, spread over threads, and put together again."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Lock

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sunfleck.errors import DomainError
from sunfleck.physics.scene import Transfer

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Fill = Callable[[Floats, Floats, Floats, Bools], None]

# Points handed to a thread at a time, at most and at least, and into how many parts they are cut between. Each point
# is worked out by itself, so neither these numbers nor the number of threads can change a result.
CHUNK = 1024
FEWEST = 128
PARTS = 8


def gather(fill: Fill, points: ArrayLike, normals: ArrayLike, masks: int, threads: int | None) -> Transfer:
    """Run a computation over chunks of points and put the masks that occur side by side.

    Parameters
    ----------
    fill : callable
        Given points (n, 3) and unit normals (n, 3), fills `out` (n, masks, 6) with the vector and that of what
        lies ahead, and sets `occurs` (masks,) where light with that mask arrives; NaN points are left alone.
        [m-2]
    points : (n, 3) float
        Receivers. [m]
    normals : (n, 3) float
        Which way each faces; lengths do not matter. [-]
    masks : int
        How many masks there can be. [-]
    threads : int or None
        How many to use; by default one for each core, at most 4. [-]

    Returns
    -------
    transfer : Transfer
        Vector and facing irradiance per watt. [m-2]

    Raises
    ------
    DomainError
        If shapes are wrong or a normal has no length.
    """
    p, n = _receivers(points, normals)
    chunks: dict[int, tuple[Bools, Floats]] = {}

    def run(part: slice) -> None:
        out = np.zeros((len(p[part]), masks, 6))
        occurs = np.zeros(masks, dtype=np.bool_)
        fill(p[part], n[part], out, occurs)
        occurs[0] = True
        # Only what occurs is kept: with 8 groups a chunk has 256 masks, nearly all of them empty.
        chunks[part.start] = (occurs, np.ascontiguousarray(out[:, occurs]))

    in_chunks(run, len(p), min(CHUNK, max(FEWEST, -(-len(p) // PARTS))), threads)
    found = np.zeros(masks, dtype=np.bool_)
    found[0] = True
    for occurs, _ in chunks.values():
        found |= occurs
    groups = np.flatnonzero(found).astype(np.int64)
    result = np.zeros((len(p), len(groups), 6))
    for begin, (occurs, out) in chunks.items():
        columns = np.searchsorted(groups, np.flatnonzero(occurs))
        result[begin : begin + len(out), columns] = out
    result[np.isnan(p).any(axis=1) | np.isnan(n).any(axis=1)] = np.nan
    vector, ahead = np.ascontiguousarray(result[..., :3]), np.ascontiguousarray(result[..., 3:])
    return Transfer(groups, vector, ahead, np.maximum(np.einsum("nck,nk->nc", ahead, n), 0.0))


def in_chunks(run: Callable[[slice], None], total: int, size: int, threads: int | None) -> None:
    """Call `run` on slices of fixed size, spread over a few threads.

    Parameters
    ----------
    run : callable
        Takes a slice; what it works out for a slice may not depend on other slices. [-]
    total, size : int
        Slices of `size` that cover 0 to `total`. [-]
    threads : int or None
        How many to use; by default one for each core, at most 4. [-]
    """
    parts = [slice(begin, min(begin + size, total)) for begin in range(0, total, size)]
    workers = min(threads or min(os.cpu_count() or 1, 4), len(parts))
    if workers <= 1:
        for part in parts:
            run(part)
        return
    waiting = iter(parts)
    taking = Lock()

    def work() -> None:
        while True:
            with taking:
                part = next(waiting, None)
            if part is None:
                return
            run(part)

    # This thread works as well: one fewer is begun, and none where one is enough.
    with ThreadPoolExecutor(workers - 1) as pool:
        others = [pool.submit(work) for _ in range(workers - 1)]
        work()
        for other in others:
            other.result()


def _receivers(points: ArrayLike, normals: ArrayLike) -> tuple[Floats, Floats]:
    p = _rows_of_three(points, "points")
    n = _rows_of_three(normals, "normals")
    if p.shape != n.shape:
        msg = f"there must be one normal for each point; got {len(n)} normals for {len(p)} points"
        raise DomainError(msg)
    # A point or normal that is not finite has no answer; one mark for all of them.
    unknown = ~np.isfinite(np.concatenate([p, n], axis=1)).all(axis=1, keepdims=True)
    n = np.where(unknown, 1.0, n)
    lengths = np.linalg.norm(n, axis=1, keepdims=True)
    if bool((lengths == 0).any()):
        msg = "normals must have a length above zero; got 0"
        raise DomainError(msg)
    return np.where(unknown, np.nan, p), np.where(unknown, np.nan, n / lengths)


def _rows_of_three(values: ArrayLike, name: str) -> Floats:
    array = np.array(values, dtype=np.float64)
    if array.size == 0:
        array = array.reshape(0, 3)
    if array.ndim != 2 or array.shape[1] != 3:
        msg = f"{name} must have the shape (n, 3); got {array.shape}"
        raise DomainError(msg)
    return np.ascontiguousarray(array)
