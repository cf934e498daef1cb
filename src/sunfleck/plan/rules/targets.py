"""What a keeper accepts for an animal can be met at all."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.document.problem import Problem
from sunfleck.document.reader import Document
from sunfleck.library.loader import Library
from sunfleck.plan.models import Plan
from sunfleck.plan.schema_problems import problem_at

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
