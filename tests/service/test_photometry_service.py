"""A photometric file from the disk: which form it is, what is said of it, and what cannot be read."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from physics.photometry_writers import write_eulumdat, write_ies
from sunfleck.errors import PhotometryError, SunfleckError
from sunfleck.service.photometry import describe, draw

G = np.arange(0.0, 91, 5)
COSINE = [100 * np.cos(np.radians(G))]
IES = write_ies(G, [0.0], COSINE, lumens=400.0)
LDT = write_eulumdat([0.0], G, COSINE, symmetry=1)


@pytest.mark.parametrize(
    ("name", "data", "form"),
    [
        ("a.ies", IES, "IES LM-63-2002"),
        ("a.IES", write_ies(G, [0.0], COSINE, header=""), "IES LM-63-1986"),
        ("a.ldt", LDT, "EULUMDAT"),
        ("wrong.ldt", IES, "IES LM-63-2002"),
        ("none", LDT, "EULUMDAT"),
        ("wide.txt", IES.decode().encode("utf-16"), "IES LM-63-2002"),
    ],
)
def test_the_form_is_found_by_what_is_in_the_file(name: str, data: bytes, form: str, tmp_path: Path):
    """Whatever the file is called."""
    (tmp_path / name).write_bytes(data)
    report = describe(tmp_path / name)
    assert (report.file, report.form) == (name, form)
    assert report.flux_lm == pytest.approx(100 * np.pi, rel=1e-3)


def test_a_report_is_plain_data(tmp_path: Path):
    """It goes through JSON and carries a unit in the name of every number that has one."""
    (tmp_path / "a.ldt").write_bytes(LDT)
    data = describe(tmp_path / "a.ldt").to_dict()
    assert json.loads(json.dumps(data)) == data
    assert data["stated_lm"] == 1000.0
    assert data["agreement"] == "disagrees", "a third of what its output ratio of 1 promises"
    assert data["keywords"][0] == {"keyword": "COMPANY", "text": "a maker"}


def test_a_diagram_is_drawn_beside_others(tmp_path: Path):
    (tmp_path / "a.ies").write_bytes(IES)
    files = draw(tmp_path / "a.ies", tmp_path / "new" / "folder", ["svg"])
    files += draw(tmp_path / "a.ies", tmp_path / "new" / "folder", ["svg"], dark=True)
    assert [file.name for file in files] == ["a-polar.svg", "a-polar-dark.svg"]
    (tmp_path / "taken").write_bytes(b"")
    with pytest.raises(SunfleckError, match="cannot write into"):
        draw(tmp_path / "a.ies", tmp_path / "taken")


def test_a_tilt_table_is_read_from_the_same_folder_only(tmp_path: Path):
    """Of a path in the file only the last part counts."""
    inside = tmp_path / "inside"
    inside.mkdir()
    file = inside / "a.ies"
    (tmp_path / "lamp.tlt").write_bytes(b"1 2 0 90 1 1")
    file.write_bytes(write_ies(G, [0.0], COSINE, tilt="..\\lamp.tlt"))
    with pytest.raises(PhotometryError, match=r"a\.ies\n\nline 5: lamp tilt"):
        describe(file)
    (inside / "lamp.tlt").write_bytes(b"1 2 0 90 1 0.9")
    assert describe(file).lamps == 1
    for name in ("..", "x\0y", "/", "inside/"):
        file.write_bytes(write_ies(G, [0.0], COSINE, tilt=name))
        with pytest.raises(PhotometryError, match="lamp tilt"):
            describe(file)


def test_problems_carry_the_file_s_name(tmp_path: Path):
    (tmp_path / "a.ldt").write_bytes(LDT.replace(b"1000", b"many"))
    with pytest.raises(PhotometryError, match=r"^a\.ldt\n\nline 29: lumens") as caught:
        describe(tmp_path / "a.ldt")
    assert caught.value.file == "a.ldt"


def test_what_cannot_be_read_is_told(tmp_path: Path):
    """No file, a folder, too large a file: a line, no traceback."""
    for path in (tmp_path / "none.ies", tmp_path, Path("x\0y")):
        with pytest.raises(SunfleckError, match="cannot read"):
            describe(path)
    (tmp_path / "a.ies").write_bytes(b"1 " * 1_500_000)
    with pytest.raises(PhotometryError, match="at most 2,000,000"):
        describe(tmp_path / "a.ies")
