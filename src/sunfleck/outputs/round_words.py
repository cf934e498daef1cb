"""Which meter rounds are in an answer, and which are not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sunfleck.outputs.verdict_words import wrapped


def round_lines(surveys: Sequence[str], too_old: Sequence[str]) -> Iterator[str]:
    """Yield the lines of a head that say which surveys every range follows; none without surveys."""
    if surveys:
        yield from wrapped(f"With the readings of {', '.join(surveys)}: every range follows them", "", "  ")
    if too_old:
        yield from wrapped(f"not used, a newer round was read: {', '.join(too_old)}", "  ", "  ")
