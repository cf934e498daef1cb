"""EULUMDAT files: every symmetry as written, every quirk of typing, and what is refused."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.errors import PhotometryError
from sunfleck.physics.eulumdat_files import read_eulumdat
from sunfleck.physics.photometry import disagreement, flux_of

from .photometry_writers import between, directions, write_eulumdat


def folded(symmetry, h):
    """Where a direction's C angle, 0 to 360, is found among the stored planes, each on its own line of angles.

    By the format's table: 1 the vertical axis, 2 the plane C0-C180, 3 the plane C90-C270, 4 both.
    """
    if symmetry == 1:
        return 0 * h
    if symmetry == 2:
        return np.minimum(h, 360 - h)
    if symmetry == 3:
        return 90 - np.abs(90 - np.where(h > 270, h - 360, h))
    return np.abs((h + 90) % 180 - 90) if symmetry == 4 else h


def measured(symmetry, c, rows):
    """Angles and planes in rising order, from what is stored: C270 over C0 to C90 with symmetry 3."""
    n = len(c)
    if symmetry == 0:
        return np.append(c, c[0] + 360), np.concatenate([rows, rows[:1]])
    if symmetry == 1:
        return np.zeros(1), rows
    if symmetry == 3:
        return np.concatenate([c[3 * n // 4 :] - 360, c[: n // 4 + 1]]), rows
    return c[: n // (2 if symmetry == 2 else 4) + 1], rows


def planes_of(rng, symmetry, quarter):
    """C angles of a whole circle with the quarter turns among them, `quarter` steps in each quarter."""
    steps = np.concatenate([np.sort(rng.choice(np.arange(1, 89), quarter - 1, replace=False)), [90]]).astype(
        float
    )
    c = np.concatenate([[0.0], *(steps + 90 * k for k in range(4))])[:-1]
    return c[:1] if symmetry == 1 and quarter == 1 else c


@settings(max_examples=150, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1),
    symmetry=st.integers(0, 4),
    quarter=st.integers(1, 5),
    reach=st.sampled_from([(0.0, 90.0), (90.0, 180.0), (0.0, 180.0)]),
    decimal=st.sampled_from([".", ","]),
    newline=st.sampled_from(["\r\n", "\n", "\r"]),
    ends=st.sampled_from(["", "\r\n", "\r\n\r\n  \r\n", "\n\x1a"]),
    encoding=st.sampled_from(["latin-1", "utf-8", "utf-8-sig", "utf-16"]),
    missing=st.integers(0, 5),
    counts=st.sampled_from([(1,), (2, 1), (-1,), (1, 1, 3)]),
)
def test_what_was_written_is_read(
    seed, symmetry, quarter, reach, decimal, newline, ends, encoding, missing, counts
):
    """Every symmetry, however typed, with one to three lamp sets, absolute or not, and with lines of text left out:

    the intensity of every direction is the table's times the lumens over 1000 times the conversion factor.
    """
    rng = np.random.default_rng(seed)
    c = planes_of(rng, symmetry, quarter)
    g = np.concatenate([[reach[0]], np.sort(rng.uniform(reach[0] + 1, reach[1] - 1, 4)).round(1), [reach[1]]])
    g = np.unique(g)
    stored = {0: len(c), 1: 1, 2: len(c) // 2 + 1, 3: len(c) // 2 + 1, 4: len(c) // 4 + 1}[symmetry]
    rows = rng.uniform(0, 400, (stored, len(g))).round(3)
    sets = tuple((n, f"lamp {k}", 350.5 + k, "3000 K", "", 10.25) for k, n in enumerate(counts))
    data = write_eulumdat(
        c,
        g,
        rows,
        symmetry=symmetry,
        sets=sets,
        texts=("a report", "Röhre", "a number", "a file", "a day")[: 5 - missing],
        luminous=(600.0, 50.0),
        heights=(0.0, 20.0, 0.0, 10.0),
        ratio=80.5,
        factor=1.5,
        decimal=decimal,
        newline=newline,
        ends=ends,
        encoding=encoding,
    )
    got = read_eulumdat(data)
    lumens = sum(350.5 + k for k in range(len(counts)))
    at_h, at_v = rng.uniform(0, 360, 60), rng.uniform(0, 180, 60)
    h, planes = measured(symmetry, c, rows)
    wanted = 1.5 * lumens / 1000 * between(h, g, planes, folded(symmetry, at_h), at_v)
    assert got.intensity_at(directions(at_h, at_v)) == pytest.approx(wanted, rel=1e-6, abs=1e-6)
    assert got.stated_lumens == pytest.approx(lumens)
    assert got.output_ratio == pytest.approx(0.805)
    assert (got.absolute, got.lamps) == (counts[0] < 0, sum(map(abs, counts)))
    assert got.watts == pytest.approx(10.25 * len(counts))
    # C0 is square to a long lamp, which lies along C90: from memory.
    opening = got.opening
    assert (opening.shape, opening.x, opening.y, opening.height) == ("box", 0.05, pytest.approx(0.6), 0.02)
    assert got.name == ("Röhre" if missing < 4 else "a maker")
    assert (got.form, got.kind) == ("EULUMDAT", "C")
    assert any("text before the sizes" in note for note in got.notes) == bool(missing)


C, G = np.arange(0.0, 360, 45), np.array([0.0, 30, 60, 90])
ROWS = np.random.default_rng(3).uniform(1, 500, (3, 4)).round(2)
GOOD = write_eulumdat(C, G, ROWS, symmetry=4)


def lines_of(data):
    return data.decode("latin-1").split("\r\n")


def changed(line, new, *, insert=()):
    lines = lines_of(GOOD)
    lines[line - 1 : line] = [*insert, new]
    return "\r\n".join(lines).encode("latin-1")


def test_both_forms_of_one_luminaire_say_the_same():
    """Lambertian per 1000 lm of lamp at a ratio of 80 %: the flux is the lamps' times 0.8, and stated and table agree."""
    g = np.arange(0.0, 91, 2.5)
    rows = [800 / np.pi * np.cos(np.radians(g))]
    sets = ((1, "a lamp", 1500.0, "", "", 12.0),)
    got = read_eulumdat(write_eulumdat([0.0], g, rows, symmetry=1, sets=sets, ratio=80.0))
    assert flux_of(got) == pytest.approx(1200.0, rel=1e-3)
    assert disagreement(got) == pytest.approx(1.0, rel=1e-3)


def test_absolute_photometry_without_lumens_is_in_candela():
    """A number of lamps below zero and no lumens: the table as it stands, and a note."""
    sets = ((-1, "a lamp", 0.0, "", "", 0.0),)
    got = read_eulumdat(write_eulumdat(C, G, ROWS, symmetry=4, sets=sets, ratio=0.0))
    assert got.intensity.max() == pytest.approx(ROWS.max())
    assert (got.stated_lumens, got.output_ratio, got.watts, got.absolute) == (None, None, None, True)
    assert any("taken as candela" in note for note in got.notes)


def test_notes_tell_what_was_assumed():
    """Tilt, sets that are added up, a factor of 0, a table that ends early, lines at the end: read, and told."""
    sets = ((1, "a lamp", 500.0, "", "", 1.0), (1, "another", 500.0, "", "", 1.0))
    rows = ROWS[:, :3]
    data = write_eulumdat(
        C, G[:3], rows, symmetry=4, sets=sets, factor=0.0, tilt=15.0, ends="\r\nmore\r\n\r\nwords"
    )
    got = read_eulumdat(data)
    assert got.measured_tilt == pytest.approx(np.radians(15))
    notes = " ".join(got.notes)
    for words in ("tilted by 15", "2 lamp sets, added up", "0: taken as 1", "ends 60", "2 lines after"):
        assert words in notes
    half = read_eulumdat(write_eulumdat(C[:5], G, np.ones((5, 4)), symmetry=0))
    assert any("no plane beyond 180" in note for note in half.notes)


@pytest.mark.parametrize(
    ("luminous", "heights", "shape", "x", "y"),
    [
        ((0.0, 0.0), (0.0, 0, 0, 0), "point", 0.0, 0.0),
        ((80.0, 0.0), (0.0, 0, 0, 0), "round", 0.08, 0.08),
        ((80.0, 0.0), (0.0, 5, 0, 0), "upright cylinder", 0.08, 0.08),
        ((600.0, 50.0), (0.0, 0, 0, 0), "rectangle", 0.05, 0.6),
    ],
)
def test_sizes_are_shapes(luminous, heights, shape, x, y):
    """A width of 0 is a circle (format table)."""
    got = read_eulumdat(write_eulumdat(C, G, ROWS, symmetry=4, luminous=luminous, heights=heights)).opening
    assert (got.shape, got.x, got.y) == (shape, pytest.approx(x), pytest.approx(y))


def test_blank_optional_lines_are_read():
    """Texts, sizes, ratio, factor, tilt, colour and watts may be blank."""
    lines = lines_of(GOOD)
    for line in (1, 2, 5, 7, 8, 9, 10, 11, 12, *range(13, 26), 28, 30, 31, 32):
        lines[line - 1] = " "
    got = read_eulumdat("\r\n".join(lines).encode())
    assert got.intensity == pytest.approx(read_eulumdat(GOOD).intensity)
    assert (got.name, got.watts, got.output_ratio, got.opening.shape) == ("", None, None, "point")


BROKEN = [
    (b"", "content", "the text of"),
    (b"x" * 2_000_001, "2,000,001 bytes", "at most 2,000,000"),
    (b"a maker\r\n1\r\n", "line 2: symmetry .*\n    wrote   nothing: the file ends here", "a line for it"),
    (changed(3, "5"), "line 3: symmetry .*\n    wrote   5", "a whole number from 0 to 4"),
    (changed(3, "one"), "wrote   one", "a whole number"),
    (changed(4, "7"), "line 4: number of C planes .*\n    wrote   7", "a multiple of 4 with a symmetry of 4"),
    (changed(4, "-8"), "wrote   -8", "from 1 to 100,000"),
    (changed(6, "1"), "line 6: number of intensities .*\n    wrote   1", "from 2 to"),
    (changed(6, "90000"), "size of the table\n    wrote   3 x 90,000", "at most 100,000"),
    (changed(6, "40"), "intensities", "40"),
    (changed(16, "1e9"), r"line 16: length of the luminous area, mm\n    wrote   1e9", "0 to 100,000"),
    (changed(23, "-4"), "line 23: light output ratio", "0 to 200"),
    (changed(24, "x"), "line 24: conversion factor\n    wrote   x", "0 to 1,000,000"),
    (changed(25, "400"), "line 25: tilt", "-180 to 180"),
    (changed(26, "0"), "line 26: number of lamp sets\n    wrote   0", "from 1 to 20"),
    (changed(27, "0"), "line 27: number of lamps", "from -10,000 to 10,000 but 0"),
    (changed(29, "much"), "line 29: lumens of the lamp set\n    wrote   much", "0 to 1,000,000,000 lm"),
    (changed(29, "0"), "line 29: lumens of the lamps\n    wrote   0", "above 0"),
    (changed(32, "-3"), "line 32: watts of the lamp set", "0 to 1,000,000"),
    (changed(44, "0"), "line 44: angles of C planes\n    wrote   0", "more than the 0 before it"),
    (changed(45, "91"), "line 45: angle of C plane 3\n    wrote   91", "90 with a symmetry of 4"),
    (changed(51, "10"), "line 51: first angle of intensities\n    wrote   10", "0 or 90"),
    (changed(52, "60"), "line 53: angles of intensities\n    wrote   60", "more than the 60 before it"),
    (changed(57, "-1"), "line 57: intensities\n    wrote   -1", "0 to 10,000,000,000"),
    (changed(57, "1..2"), r"line 57: intensities\n    wrote   1\.\.2", "3 x 4 numbers"),
    (GOOD.rstrip().rsplit(b"\r\n", 1)[0], "line 65: intensities\n    wrote   11 of them", "12"),
    (write_eulumdat(C, G, 0 * ROWS, symmetry=4), "0 everywhere", "one above 0"),
]


@pytest.mark.parametrize(("data", "wrote", "needed"), BROKEN)
def test_a_broken_file_is_told_where_and_why(data, wrote, needed):
    """Line, what was written, what was needed; and that nothing was read."""
    with pytest.raises(PhotometryError, match=wrote) as caught:
        read_eulumdat(data)
    assert needed in str(caught.value)
    assert str(caught.value).endswith("nothing was read from the file.")


def test_all_problems_are_told_at_once():
    """Five mistakes on five lines are five problems in the order of the file."""
    lines = lines_of(GOOD)
    for line, wrong in ((16, "wide"), (24, "-1"), (29, "many"), (45, "400"), (60, "dark")):
        lines[line - 1] = wrong
    with pytest.raises(PhotometryError) as caught:
        read_eulumdat("\r\n".join(lines).encode())
    assert [problem.line for problem in caught.value.problems] == [16, 24, 29, 45, 60]
