"""Keeping what was read: the same as reading, and nothing wrong is ever kept."""

import json
import shutil

import pytest

from sunfleck.errors import LibraryError
from sunfleck.library.kept import kept_or_read
from sunfleck.library.loader import DATA, SECTIONS, _read_folder


@pytest.fixture
def folder(tmp_path):
    """A small folder of library files."""
    for section in ("guards", "meshes"):
        shutil.copytree(DATA / section, tmp_path / "data" / section)
    return tmp_path / "data"


def counted(folder, calls):
    def read(place):
        calls.append(place)
        return _read_folder(place)

    return read


def test_the_second_time_nothing_is_read_and_all_is_the_same(folder, tmp_path):
    """Every value with its credentials, bands as pairs, in the same order."""
    calls = []
    first = kept_or_read(folder, SECTIONS, tmp_path / "cache", counted(folder, calls))
    second = kept_or_read(folder, SECTIONS, tmp_path / "cache", counted(folder, calls))
    assert len(calls) == 1
    assert first == second
    assert [list(entries) for entries in first.values()] == [list(entries) for entries in second.values()]


def test_a_changed_file_is_read_anew(folder, tmp_path):
    """A value edited in place is seen, and the old kept file goes."""
    calls = []
    kept_or_read(folder, SECTIONS, tmp_path / "cache", counted(folder, calls))
    file = folder / "guards" / "guard-bar-12mm.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace("60 mm", "65 mm"), encoding="utf-8")
    after = kept_or_read(folder, SECTIONS, tmp_path / "cache", counted(folder, calls))
    assert len(calls) == 2
    assert after["guards"]["guard-bar-12mm"].stand_off.value == pytest.approx(0.065)
    assert len(list((tmp_path / "cache").glob("library-*.json"))) == 1


@pytest.mark.parametrize("damage", ["", "{", "[]", '{"guards": {"x": {"name": 3}}}', "{}"])
def test_a_damaged_kept_file_is_as_none(folder, tmp_path, damage):
    """Cut short, another shape, another version: read anew, no traceback."""
    calls = []
    first = kept_or_read(folder, SECTIONS, tmp_path / "cache", counted(folder, calls))
    (kept,) = (tmp_path / "cache").glob("library-*.json")
    kept.write_text(damage, encoding="utf-8")
    assert kept_or_read(folder, SECTIONS, tmp_path / "cache", counted(folder, calls)) == first
    assert len(calls) == 2
    json.loads(kept.read_text(encoding="utf-8"))


def test_nothing_that_was_refused_is_kept_and_a_cache_that_cannot_be_written_is_no_error(folder, tmp_path):
    """A fault is told every time; where there is no cache all is read every time."""
    blocked = tmp_path / "a-file"
    blocked.write_text("", encoding="utf-8")
    assert kept_or_read(folder, SECTIONS, blocked, _read_folder)["guards"]
    (folder / "guards" / "guard-bar-12mm.yaml").write_text("name: x\n", encoding="utf-8")
    for _ in range(2):
        with pytest.raises(LibraryError):
            kept_or_read(folder, SECTIONS, tmp_path / "cache", _read_folder)
    assert not (tmp_path / "cache").exists()
