"""Who waits on a new machine while kernels are compiled is told why, and nobody else."""

import sys

import pytest

from sunfleck.faces.arguments import FIRST_RUN, read
from sunfleck.service.starting import starter_text


@pytest.mark.parametrize(
    ("terminal", "compiled", "computes", "told"),
    [
        (True, False, True, True),
        (True, True, True, False),
        (False, False, True, False),
        (True, False, False, False),
    ],
)
def test_only_the_first_run_in_a_terminal_says_so(
    tmp_path, monkeypatch, capsys, terminal, compiled, computes, told
):
    """An empty cache of compiled code and a person who reads: one line. Else none."""
    from sunfleck.geometry.kernels import cache_folder

    monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "cache"))
    monkeypatch.setattr(sys.stderr, "isatty", lambda: terminal)
    if compiled:
        folder = cache_folder() / "physics"
        folder.mkdir(parents=True)
        (folder / "kernel.nbi").write_bytes(b"")
    plan = tmp_path / "plan.yaml"
    plan.write_text(starter_text("arid"), encoding="utf-8")
    read(plan, computes=computes)
    assert (FIRST_RUN in capsys.readouterr().err) == told
