"""`check` of the two example plans: in a process that is warm, and as a command."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from tempfile import TemporaryDirectory

from benchmarks.table import Row, best_of, cores
from sunfleck.plan.read import read_plan
from sunfleck.service.cases import check, check_light
from sunfleck.service.starting import STARTERS, write_new_plan

# What `check` answers with when it has come to a verdict.
ANSWERED = (0, 1, 3)


def rows(*, tiny: bool) -> Iterator[Row]:
    """Time both examples and the help."""
    repeats = 0 if tiny else 3
    with TemporaryDirectory() as folder:
        for name in ("arid",) if tiny else STARTERS:
            file = write_new_plan(Path(folder) / name, name)
            yield from _example(name, file, repeats)
    seconds, _ = best_of(2 * repeats, lambda: _command("--help"))
    yield Row("`sunfleck --help`, as a command", seconds, "s", 1, 0.4)


def _example(name: str, file: Path, repeats: int) -> Iterator[Row]:
    # A plan that is read again is another one to `check`, which remembers what it found.
    seconds, report = best_of(repeats, lambda: check_light(read_plan(file)))
    work = f"check of the example {name}, light only, read anew, in a warm process"
    note = f"direct and reflected light: {len(report.verdicts)} verdicts"
    yield Row(work, seconds, "s", cores(), 3.0, note)
    if not repeats:
        return
    seconds, report = best_of(repeats, lambda: check(read_plan(file)))
    note = f"light, heat and air: {len(report.verdicts)} verdicts"
    yield Row("   everything", seconds, "s", cores(), 20.0, note)
    source = read_plan(file)
    seconds, _ = best_of(repeats, lambda: check(source))
    yield Row("   again, unchanged", seconds, "s", cores(), 1.0, "remembered while the process lives")
    seconds, _ = best_of(repeats, lambda: _command("check", str(file)))
    note = "a process of its own, kernels compiled before"
    yield Row("   everything, as a command", seconds, "s", cores(), 20.0, note)


def _command(*words: str) -> None:
    done = subprocess.run([sys.executable, "-m", "sunfleck", *words], capture_output=True, check=False)
    if done.returncode not in ANSWERED:
        raise RuntimeError(done.stderr.decode())
