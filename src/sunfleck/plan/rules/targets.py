"""What a keeper accepts for an animal can be met at all."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.library.entries import Animal as AnimalEntry
from sunfleck.library.loader import Library
from sunfleck.plan.furnishing import Acceptance
from sunfleck.plan.models import Plan
from sunfleck.plan.schema_problems import problem_at
from sunfleck.units import System, format_quantity

# Bands of temperature that a keeper may stand for; none of the library's is narrower than this. [K]
BANDS = ("basking_spot", "warm_end", "cool_end", "night")
NARROWEST = 3.0
# Each must not be above those that follow it.
RISING = ("uv_retreat", "uv_floor", "uv_comfort_ceiling", "uv_ceiling")
WORDS = {
    "uv_retreat": "what counts as none",
    "uv_floor": "the least that is wanted",
    "uv_comfort_ceiling": "the most that is wanted",
    "uv_ceiling": "what is never to be passed",
}


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield own targets that lie the wrong way round, among themselves or against the library's."""
    for i, animal in enumerate(plan.animals):
        known_as = animal.species if animal.profile == "library" else None
        entry = next((e for e in library.animals.values() if e.species.value == known_as), None)
        if animal.accepted is None:
            continue
        yield from _bands(document, entry, i, animal.accepted, plan.show_units)
        known: dict[str, tuple[float, bool]] = {}
        for field in RISING:
            own, sourced = getattr(animal.accepted, field), getattr(entry, field, None)
            if own is not None:
                known[field] = (own, True)
            elif sourced is not None:
                known[field] = (float(sourced.value), False)
        for k, low in enumerate(RISING):
            for high in RISING[k + 1 :]:
                if low in known and high in known and known[low][0] > known[high][0]:
                    # The value the keeper wrote is the one to look at; where both are, the upper one.
                    at, other, side = (high, low, "at least") if known[high][1] else (low, high, "at most")
                    whose = "" if known[other][1] else " of the library"
                    needed = f"{side} {known[other][0]:g} UVI: {WORDS[other]}{whose}, {other}"
                    yield problem_at(document, ("animals", i, "accepted", at), "animal.targets-cross", needed)
                    break  # what lies above that is crossed too


def _bands(
    document: Document, entry: AnimalEntry | None, i: int, word: Acceptance, system: System
) -> Iterator[Problem]:
    """Own bands that are turned round, too narrow to be met, or reach what is an emergency for the animal."""
    limit = (entry.alarm_above or entry.critical_high) if entry is not None else None
    highest = float(limit.value) if limit is not None else 0.0  # type: ignore[arg-type]  # a temperature is a number
    for field in BANDS:
        band = getattr(word, field)
        if band is None:
            continue
        needed = ""
        if band[1] - band[0] < NARROWEST:
            needed = f"the least and then the most that is wanted, {NARROWEST:g} K apart or more"
        elif field != "basking_spot" and limit is not None and band[1] > highest:
            # A basking spot is a surface, on which it lies for a while.
            shown = format_quantity(highest, "temperature", system)
            needed = f"at most {shown}: air warmer than that is an emergency for it ({limit.source})"
        if needed:
            yield problem_at(document, ("animals", i, "accepted", field), "animal.targets-cross", needed)
