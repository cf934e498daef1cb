"""Animals as resolved: body, reach and targets, each with its source."""

from __future__ import annotations

from dataclasses import dataclass

from sunfleck.brief.givens import Given, given_from_library, number
from sunfleck.library.entries import Animal as AnimalEntry
from sunfleck.library.loader import Library
from sunfleck.plan.read import PlanSource
from sunfleck.plan.rules.names import slug

# Bands of temperature that a keeper may stand for, and how they are told.
BANDS = {
    "basking_spot": "wanted at the basking spot",
    "warm_end": "wanted at the warm end",
    "cool_end": "wanted at the cool end",
    "night": "wanted by night",
}


@dataclass(frozen=True)
class AnimalBrief:
    """One animal, or several alike, ready for the studies.

    Attributes
    ----------
    key : str
        Its name in result ids.
    name : str
        Its name for people.
    profile : Animal or None
        The library's profile; None for an animal the library does not know.
    head_width : float
        Width of its head. [m]
    snout_vent : Given
        Length of head and body. [m]
    mass : Given or None
        Of its body; None where nobody says. [kg]
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
    own_bands : dict of str to (Given, Given)
        Least and most temperature by the profile's field, where its keeper stands for values of their own. [K]
    """

    key: str
    name: str
    profile: AnimalEntry | None
    head_width: float
    snout_vent: Given
    mass: Given | None
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
    own_bands: dict[str, tuple[Given, Given]]


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
    found = None
    if animal.profile == "library":
        found = next((k, e) for k, e in library.animals.items() if e.species.value == animal.species)
    id_, entry = found if found is not None else ("", None)
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
        assert entry is not None, "the rules refuse a blank profile without a size"
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
        sourced = getattr(entry, field) if entry is not None else None
        return None if sourced is None else given_from_library(f"animals/{id_}/{field}", label, sourced)

    body = _body(entry, length.value) if entry is not None else _careful_body(length.value)
    return AnimalBrief(
        key=slug(animal.name or animal.species),
        name=animal.name or (str(entry.common_name.value) if entry is not None else animal.species),
        profile=entry,
        head_width=body.head_width,
        snout_vent=length,
        mass=_mass(source, index, id_, entry, length.value),
        back_height=body.back_height,
        stretch=body.stretch,
        leap=body.leap,
        reach_class=body.reach_class,
        basking=entry is not None and bool(entry.basking.value),
        accepted=accepted,
        uv_floor=target("uv_floor", "least UV index wanted at the basking place"),
        uv_comfort_ceiling=target("uv_comfort_ceiling", "UV index wanted at most within reach"),
        uv_ceiling=target("uv_ceiling", "UV index never to be exceeded within reach"),
        uv_retreat=target("uv_retreat", "UV index below which a place is a retreat"),
        own_bands=_own_bands(source, index, accepted),
    )


def _own_bands(source: PlanSource, index: int, accepted: str) -> dict[str, tuple[Given, Given]]:
    """Temperatures that its keeper wants in the place of the library's, measured with the same."""
    word, found = source.plan.animals[index].accepted, {}
    for field, words in BANDS.items():
        own = getattr(word, field) if word is not None else None
        if own is not None:
            where = source.line_of(("animals", index, "accepted", field))
            id_ = f"plan/animals/{index}/accepted/{field}"
            low, high = (
                Given(f"{id_}/{end}", f"{end} {words}", value, "K", "given", accepted, "given", where)
                for end, value in zip(("least", "most"), own, strict=True)
            )
            found[field] = (low, high)
    return found


def _mass(source: PlanSource, index: int, id_: str, entry: AnimalEntry | None, length: float) -> Given | None:
    """The plan's; else the profile's, which grows with the cube of the length."""
    own = source.plan.animals[index].mass
    if own is not None:
        where = source.line_of(("animals", index, "mass"))
        return Given(
            f"plan/animals/{index}/mass", "mass of the animal", own, "kg", "given", "the plan", "given", where
        )
    if entry is None:
        return None
    typical = entry.mass_typical
    return Given(
        f"animals/{id_}/mass_typical",
        "mass of an animal of that length",
        number(typical) * (length / number(entry.snout_vent_typical)) ** 3,
        "kg",
        "computed",
        f"the typical mass ({typical.source}), by the cube of the length",
        typical.basis,
        typical.where,
    )


@dataclass(frozen=True)
class _Body:
    """What an animal reaches with. [m]"""

    back_height: float
    stretch: float
    leap: float
    reach_class: str
    head_width: float


def _body(entry: AnimalEntry, length: float) -> _Body:
    """The profile's, scaled to an animal's length."""
    scale = length / number(entry.snout_vent_typical)
    return _Body(
        back_height=number(entry.back_height) * scale,
        stretch=number(entry.full_stretch) * length,
        leap=number(entry.leap),
        reach_class=str(entry.reach_class.value),
        head_width=number(entry.head_width) * scale,
    )


def _careful_body(length: float) -> _Body:
    """An animal nobody knows: it climbs anything, stretches its whole length, leaps it once more, and has a small head.

    Our decision: whatever it is, it reaches no farther than that. No species stands in for another.
    """
    return _Body(
        back_height=min(0.1 * length, 0.05),
        stretch=length,
        leap=min(length, 1.0),
        reach_class="climber-glass",
        head_width=0.02 * length,
    )
