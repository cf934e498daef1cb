"""Which lamps are lit together."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from sunfleck.brief.build import Brief


@dataclass(frozen=True)
class LitSet:
    """A stretch of the day in which the same lamps are lit.

    Attributes
    ----------
    start, end : float
        Time of day. [s]
    names : tuple of str
        The lamps lit.
    """

    start: float
    end: float
    names: tuple[str, ...]

    @property
    def levels(self) -> dict[str, float]:
        """The lamps lit, at full level, as `light_field` takes them."""
        return dict.fromkeys(self.names, 1.0)

    def words(self) -> str:
        """Say when and which."""
        lamps = ", ".join(self.names) if self.names else "no lamp"
        return f"{clock(self.start)}-{clock(self.end)}: {lamps}"


def fullest(brief: Brief) -> LitSet:
    """Return the stretch of the day in which most lamps are lit, the longest of those.

    Where a lamp heats, a stretch in which one does: then an animal basks. Floors are judged in it.
    Ceilings are judged with every lamp on: no timer is a safeguard.
    """
    heating = {fixture.name for fixture in brief.fixtures if fixture.heats}
    return max(
        lit_sets(brief),
        key=lambda lit: (bool(heating & set(lit.names)), len(lit.names), lit.end - lit.start),
    )


def lit_sets(brief: Brief) -> tuple[LitSet, ...]:
    """Return the stretches of the day, from midnight, between switching times."""
    ends = {0.0, 86400.0}
    for fixture in brief.fixtures:
        for on, off in fixture.hours:
            ends.update((on, off))
    times = sorted(ends)
    return tuple(
        LitSet(start, end, tuple(f.name for f in brief.fixtures if f.lit_at((start + end) / 2)))
        for start, end in pairwise(times)
    )


def clock(seconds: float) -> str:
    """Return a time of day as ``08:00``."""
    minutes = round(seconds / 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
