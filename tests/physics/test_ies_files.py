"""IES LM-63 files: every edition, type and symmetry as written, every quirk of typing, and what is refused.

The writer is `photometry_writers`: it knows the order of the fields and shares nothing with the reader.
"""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.errors import PhotometryError
from sunfleck.physics.ies_files import read_ies
from sunfleck.physics.ies_openings import opening_of
from sunfleck.physics.photometry import LampTilt, disagreement, flux_of

from .photometry_writers import HEADERS, Layout, between, directions, write_ies

# First and last horizontal angle of a file, and where a direction's angle is found among the file's own.
SYMMETRIES = {
    "alike all round": ((0.0, 0.0), lambda h: 0.0 * h),
    "quarters": ((0.0, 90.0), lambda h: 90 - abs(90 - (180 - abs(180 - h)))),
    "halves": ((0.0, 180.0), lambda h: 180 - abs(180 - h)),
    "other halves": ((90.0, 270.0), lambda h: np.where((h < 90) | (h > 270), (180 - h) % 360, h)),
    "none": ((0.0, 360.0), lambda h: h),
}
LAYOUTS = st.builds(
    Layout,
    newline=st.sampled_from(["\r\n", "\n", "\r"]),
    between=st.sampled_from([" ", ",", ", ", "\t", "   ", " ,\t"]),
    each_line=st.integers(1, 40),
    ends=st.sampled_from(["", "\r\n", "\n\n\n", " \x1a", "\r"]),
    encoding=st.sampled_from(["ascii", "latin-1", "utf-8"]),
    mark=st.just(b""),
    indent=st.sampled_from(["", " ", "\t"]),
)
MARKED = st.just(Layout(encoding="utf-8", mark=b"\xef\xbb\xbf")) | st.just(Layout(encoding="utf-16"))


def angles_between(rng, first, last, count):
    """Rising angles with one decimal, ends included."""
    inner = (
        np.sort(rng.choice(np.arange(1, round(10 * (last - first))), max(count - 2, 0), replace=False)) / 10
    )
    return np.concatenate([[first], first + inner, [last]])


@settings(max_examples=150, deadline=None)
@given(
    seed=st.integers(0, 2**32 - 1),
    symmetry=st.sampled_from(sorted(SYMMETRIES)),
    reach=st.sampled_from([(0.0, 90.0), (90.0, 180.0), (0.0, 180.0)]),
    header=st.sampled_from(HEADERS),
    units=st.sampled_from([1, 2]),
    lumens=st.sampled_from([-1.0, 0.0, 850.0]),
    layout=LAYOUTS | MARKED,
    extra=st.integers(0, 3),
)
def test_what_was_written_is_read(seed, symmetry, reach, header, units, lumens, layout, extra):
    """Every edition, symmetry and vertical range, however typed: the intensity of every direction comes back.

    Multiplier and ballast factor multiply, and up to 1991 the ballast-lamp factor. (From memory; so does `ies2rad`,
    see `test_photometry_against_radiance`.)
    """
    rng = np.random.default_rng(seed)
    (first, last), own_angle = SYMMETRIES[symmetry]
    h = np.zeros(1) if first == last else angles_between(rng, first, last, rng.integers(2, 7))
    if symmetry == "none" and len(h) == 2:
        h = np.array([0.0, 120.0, 360.0])
    v = angles_between(rng, *reach, rng.integers(2, 9))
    table = rng.uniform(0, 1000, (len(h), len(v))).round(3)
    if symmetry == "none":
        table[-1] = table[0]
    multiplier, ballast, further = 1.25, 0.9, 0.8
    data = write_ies(
        v,
        h,
        table,
        header=header,
        units=units,
        lumens=lumens,
        lamps=2,
        multiplier=multiplier,
        ballast=ballast,
        further=further,
        size=(0.5, 2.0, 0.1),
        more=range(extra),
        layout=layout,
    )
    got = read_ies(data)
    factor = multiplier * ballast * (further if header in ("", "IESNA91") else 1.0)
    at_h, at_v = rng.uniform(0, 360, 60), rng.uniform(0, 180, 60)
    wanted = factor * between(h, v, table, own_angle(at_h), at_v)
    assert got.intensity_at(directions(at_h, at_v)) == pytest.approx(wanted, rel=1e-6, abs=1e-6)
    metre = 0.3048 if units == 1 else 1.0
    assert (got.opening.y, got.opening.x, got.opening.height) == pytest.approx(
        (0.5 * metre, 2 * metre, 0.1 * metre)
    )
    assert got.stated_lumens == (1700.0 if lumens > 0 else None)
    assert got.absolute == (lumens <= 0)
    assert (got.watts, got.lamps, got.kind) == (10.0, 2, "C")
    assert got.name == ("a lamp for a test")
    assert ("MANUFAC", "a maker") in got.keywords
    assert got.form == f"IES LM-63-{ {'': 1986, 'IESNA91': 1991}.get(header) or header[-4:] }"
    assert any("after the last intensity" in note for note in got.notes) == bool(extra)


@pytest.mark.parametrize("last", [315.0, 340.0, 350.0, 355.0])
def test_planes_that_stop_before_the_full_circle_are_closed(last):
    """A file that ends at 350 degrees: between 350 and 360 the last plane and the first."""
    h, v = np.arange(0.0, last + 1, 5.0), np.array([0.0, 45.0, 90.0])
    table = np.random.default_rng(5).uniform(0, 9, (len(h), 3))
    got = read_ies(write_ies(v, h, table))
    middle = (last + 360) / 2
    wanted = (table[-1, 1] + table[0, 1]) / 2
    assert got.intensity_at(directions([middle], [45.0])) == pytest.approx([wanted])
    assert bool(got.notes) == (last < 350), "a wide gap is told"


@pytest.mark.parametrize(("first", "last"), [(-180.0, 180.0), (-90.0, 270.0)])
def test_full_circles_may_begin_elsewhere(first, last):
    h, v = np.linspace(first, last, 13), np.array([0.0, 90.0])
    table = np.stack([np.zeros(13), 2 + np.sin(np.radians(h))], axis=1)
    table[:, 0] = 1
    got = read_ies(write_ies(v, h, table))
    assert got.intensity_at([[1.0, 0, 0], [0, 1, 0], [-1, 0, 0], [0, -1, 0]]) == pytest.approx([2, 3, 2, 1])


def lobe(ways, towards, sharp):
    """A soft beam about a direction: 1 in it, everywhere smooth."""
    return 400 * np.exp(sharp * (ways @ towards - 1))


def by_type(kind, v, h):
    """Unit vectors of type B or A angles, straight from their definition.

    LM-63-02, section 3: clockwise horizontal angles; in B the planes share a horizontal axis, in A the vertical one.
    The frame (0, 0 is -z; up in front is +x): the mapping of glTF's EXT_lights_ies.
    """
    v, h = np.radians(v), np.radians(h)
    down = np.array([0.0, 0, -1])

    def turned(vector, axis, angle):
        axis = np.array(axis, float)
        cos, sin = np.cos(angle), np.sin(angle)
        return cos * vector + sin * np.cross(axis, vector) + (1 - cos) * axis * (axis @ vector)

    # A turn about +y takes the axis towards -x, so the other way; about +x it takes it towards +y: clockwise is -y.
    if kind == "B":
        return turned(turned(down, (1, 0, 0), -h), (0, 1, 0), -v)
    return turned(turned(down, (0, 1, 0), -v), (1, 0, 0), -h)


@pytest.mark.parametrize("kind", ["B", "A"])
@pytest.mark.parametrize("towards", [(0.0, 0, -1), (0.5, 0, -0.8), (0.1, 0.4, -0.8), (-0.3, -0.3, -0.6)])
def test_other_goniometers_are_laid_out_as_type_c(kind, towards):
    """A soft lobe anywhere, measured in steps of 2 degrees: 1 % of its peak in every direction, 0.5 % of its flux.

    Against the lobe's own formula, and quadrature of it over the hemisphere before the luminaire.
    """
    towards = np.array(towards) / np.linalg.norm(towards)
    angles = np.arange(-90.0, 90.1, 2.0)
    ways = np.array([[by_type(kind, v, h) for v in angles] for h in angles])
    got = read_ies(write_ies(angles, angles, lobe(ways, towards, 20.0), kind={"B": 2, "A": 3}[kind]))
    rng = np.random.default_rng(1)
    at = rng.normal(size=(4000, 3))
    at[:, 2] = -np.abs(at[:, 2])
    at /= np.linalg.norm(at, axis=1, keepdims=True)
    off = np.abs(got.intensity_at(at) - lobe(at, towards, 20.0)).max() / 400
    node, weight = np.polynomial.legendre.leggauss(200)
    v, c = (node + 1) * pi / 4, (node + 1) * pi
    grid = directions(*np.degrees(np.meshgrid(c, v)))
    flux = (weight * np.sin(v) * pi / 4) @ lobe(grid, towards, 20.0) @ (weight * pi)
    off_flux = flux_of(got) / flux - 1
    print(f"type {kind} towards {towards.round(2)}: {off:.2%} of the peak, flux {off_flux:+.2%}")
    assert got.kind == kind
    assert off < 0.01
    assert abs(off_flux) < 0.005


@pytest.mark.parametrize("kind", [2, 3])
def test_symmetric_tables_of_other_types_are_unfolded(kind):
    """From 0 to 90 degrees both ways is one quarter of four alike: the same as written in full."""
    half, full = np.arange(0.0, 91, 5), np.arange(-90.0, 91, 5)

    def table(v, h):
        return 100 * np.exp(-((np.abs(v)[None, :] / 30) ** 2) - (np.abs(h)[:, None] / 20) ** 2)

    short = read_ies(write_ies(half, half, table(half, half), kind=kind))
    long = read_ies(write_ies(full, full, table(full, full), kind=kind))
    assert short.intensity == pytest.approx(long.intensity)
    assert any("alike" in note for note in short.notes)


def test_a_beam_to_the_right_and_up_ends_where_it_should():
    """Type B: V = 30 alone is 30 degrees towards C0; H = 30 alone 30 degrees towards C270 (clockwise)."""
    angles = np.arange(-90.0, 91, 10)
    for v, h, way in ((30.0, 0.0, directions(0.0, 30.0)), (0.0, 30.0, directions(270.0, 30.0))):
        table = np.where((np.abs(angles[:, None] - h) < 1) & (np.abs(angles[None, :] - v) < 1), 50.0, 0.0)
        for kind in (2, 3):
            got = read_ies(write_ies(angles, angles, table, kind=kind))
            assert got.intensity_at(way[None]) == pytest.approx([50.0])


# Signs of width, length, height: what `ies2rad` of Radiance calls the shape, by edition (`test_photometry_against_radiance`).
@pytest.mark.parametrize(
    ("sizes", "shape", "x", "y"),
    [
        ((0.0, 0.0, 0.0), "point", 0.0, 0.0),
        ((0.2, 0.5, 0.0), "rectangle", 0.5, 0.2),
        ((0.2, 0.5, 0.1), "box", 0.5, 0.2),
        ((0.0, 0.5, 0.0), "rectangle", 0.5, 0.0),
        ((-0.2, 0.0, 0.0), "round", 0.2, 0.2),
        ((-0.2, -0.2, 0.0), "round", 0.2, 0.2),
        ((-0.2, -0.4, 0.0), "round", 0.4, 0.2),
        ((-0.2, 0.0, 0.1), "upright cylinder", 0.2, 0.2),
        ((-0.2, -0.2, 0.1), "upright cylinder", 0.2, 0.2),
        ((0.0, 0.5, -0.2), "lying cylinder", 0.5, 0.2),
        ((-0.2, 0.5, -0.2), "lying cylinder", 0.5, 0.2),
        ((0.5, 0.0, -0.2), "lying cylinder", 0.2, 0.5),
        ((-0.2, 0.0, -0.2), "ball", 0.2, 0.2),
        ((-0.2, -0.2, -0.2), "ball", 0.2, 0.2),
        ((0.2, 0.5, -0.1), "box", 0.5, 0.2),
    ],
)
def test_signs_of_sizes_are_shapes(sizes, shape, x, y):
    opening = opening_of(*sizes)
    assert (opening.shape, opening.x, opening.y, opening.height) == (shape, x, y, abs(sizes[2]))


V, H = np.arange(0.0, 91, 15), np.arange(0.0, 91, 45)
TABLE = np.random.default_rng(3).uniform(1, 500, (3, 7)).round(2)
GOOD = write_ies(V, H, TABLE, lumens=700.0)
TILT = (1, (0.0, 90.0, 180.0), (1.0, 0.9, 0.8))


def test_a_lamp_s_tilt_table_is_kept():
    """Four lines after TILT=INCLUDE; the intensities after them are read as ever."""
    got = read_ies(write_ies(V, H, TABLE, tilt="INCLUDE", tilt_table=TILT))
    assert got.tilt == LampTilt(1, pytest.approx((0.0, pi / 2, pi)), (1.0, 0.9, 0.8))
    assert got.intensity == pytest.approx(read_ies(GOOD).intensity)


def test_a_tilt_file_is_asked_for_or_refused():
    """A file that names another is refused with a remedy, and read where its reader is handed in."""
    data = write_ies(V, H, TABLE, tilt="lamp 1.tlt")
    with pytest.raises(PhotometryError, match=r"line 5: lamp tilt\n.*lamp 1\.tlt\n.*\n.*TILT=NONE") as caught:
        read_ies(data)
    assert len(caught.value.problems) == 1
    asked = []

    def reader(name):
        asked.append(name)
        return b"1\r\n3\r\n0 90 180\r\n1 .9 .8"

    assert read_ies(data, reader).tilt.factors == (1.0, 0.9, 0.8)
    assert asked == ["lamp 1.tlt"]

    def missing(name):
        raise FileNotFoundError(2, "there is no such file", name)

    with pytest.raises(PhotometryError, match="there is no such file"):
        read_ies(data, missing)
    with pytest.raises(PhotometryError, match=r"tilt angles \(line 3 of lamp 1.tlt\)\n    wrote   x"):
        read_ies(data, lambda _: b"1\n2\n0 x\n1 1")
    with pytest.raises(PhotometryError, match="content"):
        read_ies(data, lambda _: b"")


def test_words_of_a_file_are_kept():
    """Keywords with [MORE] joined on, Latin-1 letters, labels of 1986; what would break a line is taken out."""
    words = ("[LUMINAIRE] Röhre für", "[MORE] Prüfung", "[TESTLAB]\tein \x07Labor", "no keyword", "[OTHER]")
    got = read_ies(write_ies(V, H, TABLE, words=words, layout=Layout(encoding="latin-1")))
    assert got.name == "Röhre für Prüfung"
    assert got.keywords == (("LUMINAIRE", "Röhre für Prüfung"), ("TESTLAB", "ein Labor"), ("OTHER", ""))
    old = read_ies(write_ies(V, H, TABLE, header="", words=("lamp 12 of a test", "1986")))
    assert old.name == "lamp 12 of a test"


def test_a_stated_lumen_is_compared():
    """Half of the lamp's lumens leave the luminaire."""
    v = np.arange(0.0, 91, 2.5)
    data = write_ies(v, [0.0], [100 * np.cos(np.radians(v))], lumens=100 * pi, lamps=2)
    assert disagreement(read_ies(data)) == pytest.approx(0.5, rel=1e-3)


def test_notes_tell_what_was_assumed():
    """0 lumens, a used place for future use, a plane off 0, a table that ends early: read, and told."""
    data = write_ies([0.0, 60.0], [30.0], [[5, 5]], lumens=0.0, further=0.9)
    notes = " ".join(read_ies(data).notes)
    for words in ("given as 0", "future use holds 0.9", "stands at 30", "ends 60"):
        assert words in notes


def lines_of(data):
    return data.decode("latin-1").split("\r\n")


def changed(line, old, new):
    lines = lines_of(GOOD)
    assert old in lines[line - 1], lines[line - 1]
    lines[line - 1] = lines[line - 1].replace(old, new, 1)
    return "\r\n".join(lines).encode("latin-1")


BROKEN = [
    (b"", "content", "the text of an IES"),
    (b" \r\n\t", "content", "the text of an IES"),
    (b"x" * 2_000_001, "2,000,001 bytes", "at most 2,000,000 bytes"),
    (b"IESNA:LM-63-2002\n[TEST] a test\n", "no line that begins with TILT=", "TILT=NONE"),
    (b"TILT=NONE", "0 of them, then the file ends", "a whole number"),
    (changed(1, "2002", "2031"), "IESNA:LM-63-2031", "IES:LM-63-2019"),
    (changed(5, "NONE", ""), "TILT=", "TILT=INCLUDE"),
    (changed(6, "1 700", "0 700"), "wrote   0", "a whole number from 1 to 10,000"),
    (changed(6, "1 700", "1.5 700"), r"wrote   1\.5", "a whole number"),
    (changed(6, "700", "-7"), "wrote   -7", "-1 for absolute"),
    (changed(6, "700 1 ", "700 0 "), "candela multiplier", "above 0"),
    (changed(6, "700 1 ", "700 nan "), "wrote   nan", "above 0"),
    (changed(6, "700 1 ", "700 1_0 "), "wrote   1_0", "above 0"),
    (changed(6, " 7 3 1 2", " 7 3 4 2"), "wrote   4", "from 1 to 3"),
    (changed(6, " 7 3 1 2", " 7 3 1 0"), "units", "from 1 to 2"),
    (changed(6, " 7 3 1 2", " 1 3 1 2"), "number of vertical angles", "from 2 to"),
    (changed(6, " 7 3 1 2", " 7 400000 1 2"), "number of horizontal angles", "from 1 to 100,000"),
    (changed(6, " 7 3 1 2", " 7000 300 1 2"), "7,000 x 300", "at most 100,000 intensities"),
    (
        changed(6, " 7 3 1 2", " 7 4 1 2"),
        r"line 1[012]: intensities\n    wrote   2[0-9] of them",
        "28: 4 x 7 numbers",
    ),
    (changed(6, "2 0 0 0", "2 0 1200 0"), "length of the opening", "at most 100 in the units"),
    (changed(7, "1 1 10", "0 1 10"), "ballast factor", "above 0"),
    (changed(7, "1 1 10", "1 1 -10"), "input watts", "0 to 1,000,000 W"),
    (changed(8, "0 15", "10 15"), "first vertical angle\n    wrote   10", "0 or 90"),
    (changed(8, "15 30", "30 15"), "line 8: vertical angles\n    wrote   15", "more than the 30 before it"),
    (changed(8, "15 30", "15 15"), "wrote   15", "more than the 15 before it"),
    (changed(8, "75 90", "75 200"), "wrote   200", "from 0 to 180"),
    (changed(9, "45 90", "45 80"), "80 after a first one of 0", "0, 90, 180 or more"),
    (changed(9, "45 90", "x 90"), "wrote   x", "degrees"),
    (changed(10, lines_of(GOOD)[9].split()[2], "-3"), "line 10: intensities\n    wrote   -3", "0 to "),
    (
        changed(11, lines_of(GOOD)[10].split()[2], "1e99"),
        r"line 11: intensities\n    wrote   1e\+99",
        "0 to ",
    ),
    (
        changed(12, lines_of(GOOD)[11].split()[2], "12,,o5"),
        "line 12: intensities\n    wrote   o5",
        "3 x 7 numbers",
    ),
    (write_ies(V, H, 0 * TABLE), "0 everywhere", "one above 0"),
    (write_ies(V, [0.0], TABLE[:1], kind=2), "horizontal angles\n    wrote   0 to 0", "-90 to 90"),
    (write_ies([20.0, 90.0], H, TABLE[:, :2], kind=3), "vertical angles\n    wrote   20 to 90", "type A"),
    (write_ies(V, H, TABLE, tilt="INCLUDE", tilt_table=(4, (0.0, 90.0), (1.0, 1.0))), "geometry", "1 to 3"),
    (
        write_ies(V, H, TABLE, tilt="INCLUDE", tilt_table=(1, (90.0, 0.0), (1.0, -1.0))),
        "tilt factors",
        "from 0",
    ),
]


@pytest.mark.parametrize(("data", "wrote", "needed"), BROKEN)
def test_a_broken_file_is_told_where_and_why(data, wrote, needed):
    """Line, what was written, what was needed; and that nothing was read."""
    with pytest.raises(PhotometryError, match=wrote) as caught:
        read_ies(data)
    assert needed in str(caught.value)
    assert str(caught.value).endswith("nothing was read from the file.")


def test_all_problems_are_told_at_once():
    """Six mistakes on four lines are six problems in the order of the file; many more are counted."""
    lines = lines_of(GOOD)
    lines[5] = lines[5].replace("1 700 1 ", "1 seven 0 ").replace("3 1 2", "3 9 2")
    lines[6] = "1 1 much"
    lines[8] = "0 40 30"
    lines[10] = lines[10].rsplit(" ", 1)[0] + " -1"
    with pytest.raises(PhotometryError) as caught:
        read_ies("\r\n".join(lines).encode())
    assert [p.line for p in caught.value.problems] == [6, 6, 6, 7, 11]
    assert "5 problems" in str(caught.value)
    many = write_ies(V, H, -TABLE)
    with pytest.raises(PhotometryError, match=r"21 problems; .* The first 20 are told") as caught:
        read_ies(many)
    assert (len(caught.value.problems), caught.value.more) == (20, 1)


def test_numbers_may_be_written_as_old_programs_do():
    """Fortran's D exponents, a leading sign or point, a trailing point."""
    data = GOOD.replace(b"1 700 1 7", b"+1 7.D2 .1e+1 7.")
    assert read_ies(data).intensity == pytest.approx(read_ies(GOOD).intensity)
