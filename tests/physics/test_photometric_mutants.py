"""Whatever bytes come: a photometry or a PhotometryError, and soon. Limits as stated to users: 2 MB, 5 s."""

from __future__ import annotations

import random
import time

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from sunfleck.errors import PhotometryError
from sunfleck.physics.eulumdat_files import read_eulumdat
from sunfleck.physics.ies_files import read_ies
from sunfleck.physics.photometry import flux_of

from .photometry_writers import Layout, write_eulumdat, write_ies

SEED, MUTANTS, LIMIT = 4711, 300, 5.0
V, H = np.arange(0.0, 91, 15), np.arange(0.0, 91, 45)
C, G = np.arange(0.0, 360, 30), np.arange(0.0, 181, 30)
SETS = ((1, "a lamp", 700.0, "3000 K", "80", 10.0), (2, "another", 500.0, "", "", 7.5))
TILT = (1, (0.0, 90.0, 180.0), (1.0, 0.9, 0.8))
JUNK = (b"-", b"1e308 ", b"nan", b"\x00\x00", b"\xff\xfe", b"9" * 400, b"\r\n" * 50, b",,,", b"\r\n", b"0")


def table(n_h, n_v):
    return np.random.default_rng(3).uniform(1, 500, (n_h, n_v)).round(2)


MOTHERS = {
    read_ies: [
        write_ies(V, H, table(3, 7), lumens=700.0),
        write_ies(
            V, H, table(3, 7), header="", tilt="INCLUDE", tilt_table=TILT, layout=Layout("\n", ",", 3, "")
        ),
        write_ies(np.arange(-90.0, 91, 30), np.arange(-90.0, 91, 45), table(5, 7), kind=2),
        write_ies(
            np.arange(0.0, 91, 30), np.arange(0.0, 91, 30), table(4, 4), kind=3, header="IES:LM-63-2019"
        ),
    ],
    read_eulumdat: [
        write_eulumdat(C, G, table(12, 7)),
        write_eulumdat([0.0], G, table(1, 7), symmetry=1, decimal=","),
        write_eulumdat(C, G, table(7, 7), symmetry=3, sets=SETS, newline="\n"),
        write_eulumdat(C, G, table(4, 7), symmetry=4, sets=((-1, "a lamp", 700.0, "", "", 10.0),), ends=""),
    ],
}


def mutant(data, rng):
    """One to three changes: of bytes, bits, lines, cuts, or junk put in."""
    changed = bytearray(data)
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        at, kind = rng.randrange(len(changed) + 1), rng.randrange(8)
        if kind == 0 and at < len(changed):
            changed[at] = rng.randrange(256)
        elif kind == 1 and at < len(changed):
            changed[at] ^= 1 << rng.randrange(8)
        elif kind == 2:
            del changed[at : at + rng.choice((1, 2, 30, 300))]
        elif kind == 3:
            changed[at:at] = rng.choice(JUNK)
        elif kind == 4:
            del changed[at:]
        elif kind == 5:
            changed[at:at] = bytes(rng.randrange(256) for _ in range(rng.choice((1, 8, 64))))
        else:
            lines = bytes(changed).split(b"\n")
            i, j = rng.randrange(len(lines)), rng.randrange(len(lines))
            lines[i], lines[j] = (lines[j], lines[i]) if kind == 6 else (lines[i] + lines[j], b"")
            changed = bytearray(b"\n".join(lines))
        changed = changed or bytearray(b"x")
    return bytes(changed)


def problems_of(read, data):
    """How many problems a file has; none is a photometry that gives light."""
    try:
        got = read(data)
    except PhotometryError as error:
        told = error.problems
        return len(told) if all(each.needed and each.wrote and each.what for each in told) else 0
    assert flux_of(got) > 0
    return None


@pytest.mark.parametrize("read", MOTHERS, ids=lambda read: read.__name__)
def test_mutants_are_read_or_refused(read):
    """300 files broken at random, of every kind of mother: all of them within 5 s."""
    rng = random.Random(SEED)
    broken = [mutant(MOTHERS[read][k % len(MOTHERS[read])], rng) for k in range(MUTANTS)]
    begun = time.perf_counter()
    found = [problems_of(read, data) for data in broken]
    took = time.perf_counter() - begun
    refused = sum(each is not None for each in found)
    print(f"{MUTANTS} mutants, {read.__name__}: {refused} refused, {MUTANTS - refused} read, {took:.2f} s")
    assert took <= LIMIT
    assert 0 not in found, "refused without a problem"
    assert refused > MUTANTS / 4
    assert MUTANTS - refused > MUTANTS / 20


@pytest.mark.parametrize("read", MOTHERS, ids=lambda read: read.__name__)
@settings(max_examples=200, deadline=None)
@given(
    data=st.binary(max_size=300),
    head=st.sampled_from([b"", b"TILT=NONE\n", b"TILT=INCLUDE 1\n", b"\xff\xfe"]),
)
@example(data=b"9" * 300, head=b"TILT=NONE\n")
@example(data=b"1 -1 1 2 1 1 1 0 0 0 1 1 1 0 90 0 1 1", head=b"TILT=NONE\n")
@example(data=b"\r\n".join([b"1"] * 80), head=b"")
def test_any_bytes_are_read_or_refused(read, data, head):
    assert problems_of(read, head + data) != 0


@pytest.mark.parametrize("read", MOTHERS, ids=lambda read: read.__name__)
def test_every_cut_is_read_or_refused(read):
    """The file up to each of its bytes: what is read of a cut file is cut behind the table, or in its last number."""
    for mother in MOTHERS[read]:
        whole = [k for k in range(len(mother)) if problems_of(read, mother[:k]) is None]
        assert len(mother) - min(whole, default=len(mother)) <= 8


LARGE = {
    "numbers": b"TILT=NONE\n" + b"1 " * 990_000,
    "words": b"TILT=NONE\n1 -1 1 100 1000 1 2 0 0 0 1 1 1\n" + b"x " * 900_000,
    "keywords": b"IESNA91\n" + b"[A] b\n" * 300_000,
    "largest table": write_ies(
        np.linspace(0, 180, 250), np.linspace(0, 360, 400), np.ones((400, 250)), layout=Layout(digits=4)
    ),
    "largest of type B": write_ies(
        np.linspace(-90, 90, 200), np.linspace(-90, 90, 200), np.ones((200, 200)), kind=2
    ),
    "odd encoding": b"\xff\xfe" + b"1 " * 900_000,
    "lines": b"1\n" * 990_000,
    "empty lines": b"\n" * 1_990_000 + b"x",
    "largest EULUMDAT": write_eulumdat(
        np.linspace(0, 359, 400), np.linspace(0, 180, 250), np.ones((400, 250))
    ),
    "nearly largest": write_eulumdat(
        np.linspace(0, 359, 400), np.linspace(0, 180, 250), -np.ones((400, 250))
    ),
    "too large": b"x" * 5_000_000,
}


@pytest.mark.parametrize("what", LARGE)
def test_the_largest_files_take_five_seconds_at_most(what):
    """A limit stated to users: 2 MB, 100,000 intensities, 5 s. A tenth of that is what it takes."""
    for read in MOTHERS:
        begun = time.perf_counter()
        problems = problems_of(read, LARGE[what])
        took = time.perf_counter() - begun
        print(f"{what}, {read.__name__}: {len(LARGE[what]):,} bytes in {took:.2f} s; problems: {problems}")
        assert took <= LIMIT
        assert problems != 0
