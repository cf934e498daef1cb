"""How a kernel is compiled: ahead of its first use, once per machine, free of the interpreter lock.

Compiled code is kept in the user's cache folder, not beside the source, so that an installed package
needs no write access. numba finds out that a kernel is stale by the time stamp of the file it stands
in and of no other. What kernels of several files call therefore stands in files named ``*_kernels.py``,
and the folder of compiled code is named after what is written in these.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import ParamSpec, TypeVar, cast

import numba
import platformdirs

P = ParamSpec("P")
R = TypeVar("R")


def cache_folder() -> Path:
    """Folder for compiled kernels: in ``NUMBA_CACHE_DIR`` if set, else in the user's cache folder."""
    chosen = os.environ.get("NUMBA_CACHE_DIR")
    folder = Path(chosen) if chosen else platformdirs.user_cache_path("sunfleck") / "kernels"
    return folder / _shared_by_kernels()


def compiled_before() -> bool:
    """Whether any kernel was compiled on this machine, as it is written now."""
    return any(cache_folder().rglob("*.nbi"))


@cache
def _shared_by_kernels() -> str:
    """Name that changes with what kernels of several files call."""
    package = Path(__file__).parents[1]
    written = sha256()
    for path in sorted(package.glob("**/*_kernels.py")):
        written.update(path.read_bytes())
    return written.hexdigest()[:12]


@contextmanager
def _compiled_code_in(folder: Path) -> Iterator[None]:
    """Point numba at `folder` while a kernel is declared; other users of numba keep their own setting."""
    before = numba.config.CACHE_DIR
    numba.config.CACHE_DIR = str(folder)
    try:
        yield
    finally:
        numba.config.CACHE_DIR = before


def kernel(function: Callable[P, R]) -> Callable[P, R]:
    """Compile a function of floats and arrays to machine code on its first call.

    Parameters
    ----------
    function : callable
        Uses only floats, integers and arrays; calls only kernels of its own file and of files named
        ``*_kernels.py``. [-]

    Returns
    -------
    kernel : callable
        The same function, compiled; it runs without the interpreter lock. [-]

    Notes
    -----
    A division by zero gives infinity as in numpy. Neither ``parallel`` nor ``fastmath`` is used: a result
    may not depend on the number of threads or on the compiler's taste.
    """
    options = {"nogil": True, "error_model": "numpy"}
    with _compiled_code_in(cache_folder()):
        try:
            compiled = numba.njit(cache=True, **options)(function)
        except RuntimeError:
            # No folder can be written to: compile in each process instead of failing.
            compiled = numba.njit(**options)(function)
    return cast("Callable[P, R]", compiled)
