"""Animals as resolved: body, reach and targets, each with its source."""

from __future__ import annotations

from dataclasses import dataclass

from sunfleck.brief.givens import Given, given_from_library, number
from sunfleck.library.entries import Animal as AnimalEntry
from sunfleck.library.loader import Library
from sunfleck.plan.read import PlanSource
from sunfleck.plan.rules.names import slug


@dataclass(frozen=True)
class AnimalBrief:
    """One animal, or several alike, ready for the studies.

    Attributes
    ----------
    key : str
        Its name in result ids.
    name : str
        Its name for people.
    entry : Animal
        The library's profile.
    snout_vent : Given
        Length of head and body. [m]
    back_height : float
        Height of its back above what it stands on. [m]
    stretch : float
        How far its back gets from a foothold at full stretch. [m]
    leap : float
        How far beyond that it leaps; zero where it does not. [m]
    reach_class : str
        ``ground``, ``climber-rough``, ``climber-glass`` or ``leaper``.
    basking : bool
        Whether it basks.
    accepted : str
        Who accepted its targets and when, or "" where nobody has.
    uv_floor, uv_comfort_ceiling, uv_ceiling, uv_retreat : Given or None
        Targets in UV index; None where none is wanted or known.
    """

    key: str
    name: str
    entry: AnimalEntry
    snout_vent: Given
    back_height: float
    stretch: float
    leap: float
    reach_class: str
    basking: bool
    accepted: str
    uv_floor: Given | None
    uv_comfort_ceiling: Given | None
    uv_ceiling: Given | None
    uv_retreat: Given | None


def animal_brief(source: PlanSource, library: Library, index: int) -> AnimalBrief:
    """Bind an animal of the plan to its profile.

    Parameters
    ----------
    source : PlanSource
        The checked plan.
    library : Library
        The library with the user's own values in it.
    index : int
        Which animal. [-]

    Returns
    -------
    animal : AnimalBrief
        Its body, reach and targets.
    """
    animal = source.plan.animals[index]
    id_, entry = next((k, e) for k, e in library.animals.items() if e.species.value == animal.species)
    typical = number(entry.snout_vent_typical)
    if animal.snout_vent is not None:
        length = Given(
            id=f"plan/animals/{index}/snout_vent",
            label="length of head and body",
            value=animal.snout_vent,
            unit="m",
            how="given",
            source="the plan",
            basis="given",
            where=source.line_of(("animals", index, "snout_vent")),
        )
    else:
        key = f"animals/{id_}/snout_vent_typical"
        length = given_from_library(key, "length of head and body, typical adult", entry.snout_vent_typical)

    word = animal.accepted
    accepted = f"accepted by {word.by} on {word.date}" if word is not None else ""

    def target(field: str, label: str) -> Given | None:
        own = getattr(animal.accepted, field) if animal.accepted is not None else None
        if own is not None:
            path = ("animals", index, "accepted", field)
            where = source.line_of(path)
            # An index by whoever keeps the animal stands above the library's.
            return Given(
                f"plan/animals/{index}/accepted/{field}", label, own, "UVI", "given", accepted, "given", where
            )
        sourced = getattr(entry, field)
        return None if sourced is None else given_from_library(f"animals/{id_}/{field}", label, sourced)

    return AnimalBrief(
        key=slug(animal.name or animal.species),
        name=animal.name or str(entry.common_name.value),
        entry=entry,
        snout_vent=length,
        back_height=number(entry.back_height) * length.value / typical,
        stretch=number(entry.full_stretch) * length.value,
        leap=number(entry.leap),
        reach_class=str(entry.reach_class.value),
        basking=bool(entry.basking.value),
        accepted=accepted,
        uv_floor=target("uv_floor", "least UV index wanted at the basking place"),
        uv_comfort_ceiling=target("uv_comfort_ceiling", "UV index wanted at most within reach"),
        uv_ceiling=target("uv_ceiling", "UV index never to be exceeded within reach"),
        uv_retreat=target("uv_retreat", "UV index below which a place is a retreat"),
    )
