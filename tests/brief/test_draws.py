"""The draws behind all ranges: the same whether drawn or read, and never half a file."""

import numpy as np
import pytest

from sunfleck.brief import draws
from sunfleck.brief.draws import standard_normals


@pytest.fixture(autouse=True)
def forgotten():
    """As in a new process: what this one holds already is drawn or read again, and left to nobody."""
    standard_normals.cache_clear()
    yield
    standard_normals.cache_clear()


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.setattr(draws, "cache_folder", lambda: tmp_path / "kept")
    return tmp_path / "kept"


def anew(*asked):
    """What a new process gets."""
    standard_normals.cache_clear()
    return standard_normals(*asked)


def test_what_is_read_is_what_was_drawn(folder):
    """Bit for bit; a normal sample by its moments (Sobol points: far better than chance)."""
    first, second = standard_normals(256, 5, 7), anew(256, 5, 7)
    assert first is not second
    assert np.array_equal(first, second)
    assert len(list(folder.iterdir())) == 1
    assert first.mean(axis=0) == pytest.approx(0.0, abs=0.02)
    assert first.std(axis=0) == pytest.approx(1.0, abs=0.02)


@pytest.mark.parametrize("rubbish", [b"", b"not an array", b"\x93NUMPY\x01\x00v\x00"])
def test_a_damaged_file_is_drawn_anew(folder, rubbish):
    """A cache that was cut short or overwritten costs a second, nothing else."""
    wanted = standard_normals(64, 3, 7)
    (file,) = folder.iterdir()
    file.write_bytes(rubbish)
    assert np.array_equal(anew(64, 3, 7), wanted)
    np.save(file, np.full((64, 3), np.nan))
    assert np.array_equal(anew(64, 3, 7), wanted)


def test_what_a_process_shares_cannot_be_written_to(folder):
    """One plan's arithmetic may not change the worlds of the next."""
    held = standard_normals(64, 3, 7)
    assert standard_normals(64, 3, 7) is held
    with pytest.raises(ValueError, match="read-only"):
        held[0, 0] = 1.0


def test_a_folder_that_cannot_be_made_is_no_error(tmp_path, monkeypatch):
    """The draws are made each time instead."""
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setattr(draws, "cache_folder", lambda: tmp_path / "file" / "kept")
    assert standard_normals(64, 2, 7).shape == (64, 2)


def test_a_shuffled_block_is_independent_of_another(folder):
    """Row by row no column of one goes with one of the other: four standard errors of 1,024 chance pairs at most."""
    rows, seed = 1024, 20261125
    light = standard_normals(rows, 40, seed)
    apart = standard_normals(rows, 20, seed + 3, shuffled=True)
    assert np.abs(np.corrcoef(light.T, apart.T)[:40, 40:]).max() < 4 / np.sqrt(rows)
    plain = standard_normals(rows, 20, seed + 3)
    assert np.abs(np.corrcoef(light.T, plain.T)[:40, 40:]).max() > 0.5
    assert np.array_equal(np.sort(apart, axis=0), np.sort(plain, axis=0))
    assert np.array_equal(apart, standard_normals(rows, 20, seed + 3, shuffled=True))
