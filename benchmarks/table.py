"""Rows of results, how they are timed, and the machine they were measured on."""

from __future__ import annotations

import json
import os
import platform
from collections.abc import Callable, Iterable
from dataclasses import asdict, dataclass
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from time import perf_counter
from typing import Any, TypeVar

T = TypeVar("T")

PACKAGES = ("numpy", "scipy", "numba", "embreex", "pyradiance")
UNDER_A_SECOND = 1.0


@dataclass(frozen=True)
class Row:
    """One result.

    Attributes
    ----------
    work : str
        What was done, with its size.
    value : float
        The result; for `unit` "s" the shortest of some repeats after a warm-up.
    unit : str
        ``s``, ``×`` (ratio of two times measured in the same run), ``%``, ``MB`` or ``M/s`` (millions a second).
    threads : int
        How many were at work; of a ratio, on each side.
    target : float or None
        On a machine with 2 cores: at most so many seconds or per cent, at least such a ratio.
    note : str
        What else must be known to read the result.
    """

    work: str
    value: float
    unit: str
    threads: int
    target: float | None = None
    note: str = ""

    @property
    def reached(self) -> bool | None:
        """Whether the target is met; None where there is none."""
        if self.target is None:
            return None
        return self.value >= self.target if self.unit in ("×", "M/s") else self.value <= self.target

    def cells(self) -> tuple[str, ...]:
        """Texts of the row, as they stand in the table."""
        sign = "≥" if self.unit in ("×", "M/s") else "≤"
        wanted = "" if self.target is None else f"{sign} {_shown(self.target, self.unit)}"
        word = {None: "", True: "reached", False: "not reached"}[self.reached]
        return self.work, str(self.threads), _shown(self.value, self.unit), wanted, word


HEAD = ("work", "threads", "measured", "target on 2 cores", "")


def _shown(value: float, unit: str) -> str:
    if unit == "s" and value < UNDER_A_SECOND:
        return f"{1000 * value:.3g} ms"
    return f"{value:.3g} {unit}"


def best_of(repeats: int, call: Callable[[], T]) -> tuple[float, T]:
    """Shortest time of some calls after one that does not count, and what the last returned. [s]

    No repeats: the first call counts.
    """
    times = []
    for _ in range(repeats + 1):
        begin = perf_counter()
        result = call()
        times.append(perf_counter() - begin)
    return min(times[1:] or times), result


def cores() -> int:
    """How many threads the program uses when nobody says otherwise."""
    return min(os.cpu_count() or 1, 4)


def machine() -> dict[str, Any]:
    """What the results belong to: processor, versions, and what else ran when they were taken."""
    return {
        "processor": _processor(),
        "cores": os.cpu_count(),
        "system": f"{platform.system()} {platform.machine()}",
        "load": [round(value, 2) for value in os.getloadavg()] if hasattr(os, "getloadavg") else None,
        "python": platform.python_version(),
        **{name: _version(name) for name in PACKAGES},
    }


def _processor() -> str:
    listed = Path("/proc/cpuinfo")
    if listed.exists():
        for line in listed.read_text(encoding="utf-8").splitlines():
            if line.startswith("model name"):
                return line.split(":", 1)[1].strip()
    return platform.processor() or "unknown"


def _version(package: str) -> str:
    try:
        return version(package)
    except PackageNotFoundError:
        return "not installed"


def machine_line(found: dict[str, Any]) -> str:
    """Say the machine in one line."""
    versions = ", ".join(f"{name} {found[name]}" for name in ("python", *PACKAGES))
    loads = "" if found["load"] is None else f"; load {found['load'][0]:.2f} at the start"
    return f"{found['processor']}, {found['cores']} cores, {found['system']}{loads}; {versions}"


def table_text(rows: Iterable[Row]) -> str:
    """Set rows as one table, their notes below it by number."""
    rows = list(rows)
    cells = [HEAD]
    for number, row in enumerate(rows, start=1):
        work, *rest = row.cells()
        cells.append((f"{number:2d}  {work}", *rest))
    widths = [max(len(line[k]) for line in cells) for k in range(len(HEAD))]
    lines = [
        "  ".join(text.ljust(w) for text, w in zip(line, widths, strict=True)).rstrip() for line in cells
    ]
    lines.insert(1, "-" * max(len(line) for line in lines))
    notes = [f"{number:2d}  {row.note}" for number, row in enumerate(rows, start=1) if row.note]
    return "\n".join([*lines, "", *notes])


def write_json(file: Path, found: dict[str, Any], rows: Iterable[Row]) -> None:
    """Write the same to a file."""
    listed = [{**asdict(row), "reached": row.reached} for row in rows]
    text = json.dumps({"schema": 1, "machine": found, "rows": listed}, indent=1, ensure_ascii=False)
    file.write_text(text + "\n", encoding="utf-8")
