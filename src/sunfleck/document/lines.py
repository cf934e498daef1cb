"""What lines of a text became in another: found quickly, whatever the texts are."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections import Counter
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from typing import NamedTuple

LOOKED_INTO = 40_000
"""Pairs of lines of a stretch without a line of its own up to which it is compared line with line. [-]"""


class Change(NamedTuple):
    """Lines `start` to `end` of a text, from 0, became lines `other_start` to `other_end` of the other."""

    start: int
    end: int
    other_start: int
    other_end: int


def lines_of(text: str) -> list[str]:
    r"""Return lines with their ends, as a document counts them: other signs that Python takes for line ends are text.

    Examples
    --------
    >>> lines_of("a\r\nb\u2028c\n\nd")
    ['a\r\n', 'b\u2028c\n', '\n', 'd']
    """
    return re.findall(r"[^\r\n]*(?:\r\n|\r|\n)|[^\r\n]+", text)


def line_changes(lines: Sequence[str], other: Sequence[str]) -> list[Change]:
    """Return which lines of a text became which of another, in their order; what lies between is alike.

    Parameters
    ----------
    lines, other : sequence of str
        Lines of either text.

    Returns
    -------
    changes : list of Change
        No two of them touch in both texts.

    Notes
    -----
    Lines that stand once in either text and in the same order hold the two together (a "patience" comparison); between
    them it goes on with lines that stand once there. A short stretch without any is left to `difflib`, a long one is
    taken to have changed as a whole: time grows with the number of lines, not with its square.

    Examples
    --------
    >>> line_changes(["a", "b", "c"], ["a", "x", "y", "c"])
    [Change(start=1, end=2, other_start=1, other_end=3)]
    """
    found: list[Change] = []
    for change in sorted(_changes(lines, other)):
        last = found[-1] if found else None
        if last is not None and last.end == change.start and last.other_end == change.other_start:
            found[-1] = Change(last.start, change.end, last.other_start, change.other_end)
        else:
            found.append(change)
    return found


def _changes(lines: Sequence[str], other: Sequence[str]) -> Iterator[Change]:
    stretches = [Change(0, len(lines), 0, len(other))]
    while stretches:
        start, end, begin, stop = stretches.pop()
        while start < end and begin < stop and lines[start] == other[begin]:
            start, begin = start + 1, begin + 1
        while start < end and begin < stop and lines[end - 1] == other[stop - 1]:
            end, stop = end - 1, stop - 1
        if start == end or begin == stop:
            if start < end or begin < stop:
                yield Change(start, end, begin, stop)
            continue
        anchors = _anchors(lines[start:end], other[begin:stop])
        if anchors:
            at, to = start, begin
            for one, two in anchors:
                stretches.append(Change(at, start + one, to, begin + two))
                at, to = start + one + 1, begin + two + 1
            stretches.append(Change(at, end, to, stop))
        elif (end - start) * (stop - begin) <= LOOKED_INTO:
            matcher = SequenceMatcher(None, lines[start:end], other[begin:stop], autojunk=False)
            for tag, i1, i2, j1, j2 in matcher.get_opcodes():
                if tag != "equal":
                    yield Change(start + i1, start + i2, begin + j1, begin + j2)
        else:
            yield Change(start, end, begin, stop)


def _anchors(lines: Sequence[str], other: Sequence[str]) -> list[tuple[int, int]]:
    """Return the longest run of lines, in the order of both, that stand once in each."""
    there = {line: k for k, line in enumerate(other)}
    once, once_there = Counter(lines), Counter(other)
    pairs = [(k, there[line]) for k, line in enumerate(lines) if once[line] == 1 == once_there[line]]
    # Patience sorting: the least end of a run of each length, and what stands before each pair in its run.
    ends: list[int] = []
    piles: list[int] = []
    before: list[int] = []
    for k, (_, place) in enumerate(pairs):
        at = bisect_left(ends, place)
        before.append(piles[at - 1] if at else -1)
        ends[at : at + 1] = [place]
        piles[at : at + 1] = [k]
    run = []
    k = piles[-1] if piles else -1
    while k >= 0:
        run.append(pairs[k])
        k = before[k]
    return run[::-1]
