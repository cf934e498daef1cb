"""Bring two changed copies of a text together, line by line."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

from sunfleck.document.edit import EditError
from sunfleck.document.lines import line_changes, lines_of

Choice = Literal["mine", "theirs", "base", "both"]
"""What is to stand where both sides changed the same lines; ``both`` is mine, then theirs."""


@dataclass(frozen=True, slots=True)
class Conflict:
    """Lines that both sides changed, each in its own way.

    Attributes
    ----------
    base, mine, theirs : tuple of str
        The lines of each, with their ends; empty where a side has none there.
    base_line, mine_line, theirs_line : int
        Line of each text at which they begin, from 1.
    """

    base: tuple[str, ...]
    mine: tuple[str, ...]
    theirs: tuple[str, ...]
    base_line: int
    mine_line: int
    theirs_line: int


@dataclass(frozen=True, slots=True)
class Merge:
    """Two changed copies brought together.

    Attributes
    ----------
    pieces : tuple of (str or Conflict)
        Text that is settled, and what is not, in their order.
    """

    pieces: tuple[str | Conflict, ...]

    @property
    def conflicts(self) -> tuple[Conflict, ...]:
        """What both sides changed; empty where all is settled."""
        return tuple(piece for piece in self.pieces if isinstance(piece, Conflict))

    @property
    def text(self) -> str | None:
        """The merged text; None while there are conflicts."""
        return None if self.conflicts else self.with_choices(())

    def with_choices(self, choices: Sequence[Choice]) -> str:
        """Return the merged text, with one choice for each conflict, in their order.

        Raises
        ------
        EditError
            If there are more or fewer choices than conflicts.
        """
        found = self.conflicts
        if len(choices) != len(found) or not set(choices) <= {"mine", "theirs", "base", "both"}:
            msg = (
                f"{len(found)} choices are needed, each mine, theirs, base or both; {len(choices)} were made"
            )
            raise EditError(msg)
        chosen = iter(choices)
        pieces = [piece if isinstance(piece, str) else _chosen(piece, next(chosen)) for piece in self.pieces]
        line_end = next((end for piece in pieces if (end := _line_end(piece))), "\n")
        # A last line without an end may have got a line behind it.
        last = max((k for k, piece in enumerate(pieces) if piece), default=0)
        ended = [
            piece + line_end if piece and k < last and piece[-1] not in "\r\n" else piece
            for k, piece in enumerate(pieces)
        ]
        return "".join(ended)


def merge(base: str, mine: str, theirs: str) -> Merge:
    r"""Merge two texts that come from one.

    Parameters
    ----------
    base : str
        What both began with.
    mine, theirs : str
        What became of it on either side.

    Returns
    -------
    merged : Merge
        Changes of different lines are both in it; what both changed alike is in it once; the same lines changed
        differently are conflicts.

    Notes
    -----
    Either side is compared with the base, line by line, and changes that touch are taken together, as `diff3` does
    (S. Khanna, K. Kunal, B. C. Pierce, "A formal investigation of diff3", FSTTCS 2007). Unlike there, a line
    changed by one side right below a line changed by the other is no conflict; lines put in where the other side
    changed something are. Where one side wrote all line ends anew the other follows it.

    Examples
    --------
    >>> base = "lamp: spot\nlevel: 1\nhours: 8\n"
    >>> merge(base, base.replace("8", "9"), base.replace("spot", "flood")).text
    'lamp: flood\nlevel: 1\nhours: 9\n'
    >>> merged = merge(base, base.replace("8", "9"), base.replace("8", "7"))
    >>> merged.conflicts[0].mine, merged.conflicts[0].base_line, merged.text
    (('hours: 9\n',), 3, None)
    >>> merged.with_choices(["theirs"])
    'lamp: spot\nlevel: 1\nhours: 7\n'
    """
    base, mine, theirs = _with_the_same_ends(base, mine, theirs)
    lines, ours, others = lines_of(base), lines_of(mine), lines_of(theirs)
    hunks = _Hunks(_changes(lines, ours), _changes(lines, others))
    pieces: list[str | Conflict] = []
    done = at_mine = at_theirs = 0
    for region in hunks.regions():
        start, end = region.start, region.end
        pieces.append("".join(lines[done:start]))
        at_mine += start - done
        at_theirs += start - done
        to_mine = at_mine + (end - start) + region.mine
        to_theirs = at_theirs + (end - start) + region.theirs
        old, one, other = lines[start:end], ours[at_mine:to_mine], others[at_theirs:to_theirs]
        if other in (one, old):
            pieces.append("".join(one))
        elif one == old:
            pieces.append("".join(other))
        else:
            places = (start + 1, at_mine + 1, at_theirs + 1)
            pieces.append(Conflict(tuple(old), tuple(one), tuple(other), *places))
        done, at_mine, at_theirs = end, to_mine, to_theirs
    pieces.append("".join(lines[done:]))
    return Merge(tuple(piece for piece in pieces if piece != ""))


class _Change(NamedTuple):
    """Lines `start` to `end` of the base, from 0, became so many more (or, below zero, fewer)."""

    start: int
    end: int
    more: int


class _Region(NamedTuple):
    """Changes of both sides that touch, and how many lines more each has there."""

    start: int
    end: int
    mine: int
    theirs: int


class _Hunks(NamedTuple):
    """The changes of both sides."""

    mine: list[_Change]
    theirs: list[_Change]

    def regions(self) -> list[_Region]:
        """Join changes that touch, in the order of the base."""
        told = sorted(
            [(change, True) for change in self.mine] + [(change, False) for change in self.theirs],
            key=lambda each: (each[0].start, each[0].end),
        )
        found: list[_Region] = []
        for change, ours in told:
            added = (change.more, 0) if ours else (0, change.more)
            if found and _touch(found[-1], change):
                last = found.pop()
                found.append(
                    _Region(
                        last.start,
                        max(last.end, change.end),
                        last.mine + added[0],
                        last.theirs + added[1],
                    )
                )
            else:
                found.append(_Region(change.start, change.end, *added))
        return found


def _touch(region: _Region, change: _Change) -> bool:
    if change.start < region.end:
        return True
    # At one place in the base: two that both replace lines there are neighbours, what is put in has no order.
    return change.start == region.end and (change.start == change.end or region.start == region.end)


def _changes(base: list[str], other: list[str]) -> list[_Change]:
    return [
        _Change(start, end, (other_end - other_start) - (end - start))
        for start, end, other_start, other_end in line_changes(base, other)
    ]


def _line_end(text: str) -> str:
    found = re.search(r"\r\n|\r|\n", text)
    return found[0] if found else ""


def _only_end(text: str) -> str:
    """The line end of a text that has one kind of them; "" for several or none."""
    kinds = set(re.findall(r"\r\n|\r|\n", text))
    return kinds.pop() if len(kinds) == 1 else ""


def _with_the_same_ends(base: str, mine: str, theirs: str) -> tuple[str, str, str]:
    """Let all follow the side that wrote all line ends anew: an editor does so without being asked."""
    of_base, of_mine, of_theirs = map(_only_end, (base, mine, theirs))
    if of_base and of_mine and of_theirs and len({of_base, of_mine, of_theirs}) == 2:
        new = of_mine if of_mine != of_base else of_theirs
        return tuple(re.sub(r"\r\n|\r|\n", new, text) for text in (base, mine, theirs))  # type: ignore[return-value]  # three of three
    return base, mine, theirs


def _chosen(conflict: Conflict, choice: Choice) -> str:
    if choice != "both":
        return "".join({"mine": conflict.mine, "theirs": conflict.theirs, "base": conflict.base}[choice])
    first, then = "".join(conflict.mine), "".join(conflict.theirs)
    if first and then and first[-1] not in "\r\n":
        first += _line_end(then) or "\n"
    return first + then
