"""The benchmarks run: each in a tiny size, in one process of its own. What they measure is not asserted."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

pytest.importorskip("pyradiance", reason="the oracle is not installed")

ROOT = Path(__file__).resolve().parents[2]
WORK = ("receivers, 2 tubes, leafy", "receivers, 2 tubes, open", "field of", "a tube dragged", "a spot dragged",
        "a scan of", "a plan of", "exchange of", "surroundings of", "shooting", "single rays", "a day of", "a year of", "passage of", "check of", "--help")  # fmt: skip


def test_every_benchmark_runs_and_is_written_down(tmp_path):
    """Every kind of work has a row, every result is a number above zero; a tiny run judges nothing."""
    file = tmp_path / "rows.json"
    command = [sys.executable, "-m", "benchmarks", "--tiny", "--json", str(file)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    written = json.loads(file.read_text(encoding="utf-8"))
    rows = written["rows"]
    for work in WORK:
        assert any(work in row["work"] for row in rows), work
        assert work in done.stdout
    assert all(row["value"] > 0 and row["threads"] >= 1 for row in rows)
    assert all(row["reached"] is None for row in rows)
    assert {"processor", "cores", "python", "numpy", "numba", "embreex"} <= set(written["machine"])
