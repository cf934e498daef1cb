"""Names are unique and ids are known."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any
from unicodedata import normalize

from sunfleck.document.problem import Problem, nearest
from sunfleck.document.reader import Document
from sunfleck.library.consistency import contradictions
from sunfleck.library.loader import Library
from sunfleck.plan.fixtures import Fixture
from sunfleck.plan.furnishing import Animal
from sunfleck.plan.models import Plan
from sunfleck.plan.schema_problems import Path, problem_at
from sunfleck.units import format_quantity

# Beyond these shares of a typical adult's length it is rather a slip of the unit than an animal.
ADULT_FROM, ADULT_TO, HATCHLING_FROM = 0.5, 2.0, 0.1
SECTIONS = ("meters", "fixtures", "perches", "ledges", "backgrounds", "plants", "hides", "bowls")
# Offered in the place of a wood that is never to be used: heavy, lasting, and nothing is known against it.
HARMLESS_WOOD = "oak"
# More ids than this are not listed in a message.
READ_BY_EYE = 12
# What a reading may have been taken through.
BETWEEN = ("meshes", "guards", "panes")


def slug(name: str) -> str:
    """Return a name as it stands in result ids: letters of any script in lower case, digits, dashes."""
    return re.sub(r"[^\w]+|_+", "-", normalize("NFKC", name).casefold()).strip("-") or "unnamed"


def check(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield problems with names and ids."""
    yield from _duplicates(plan, document, library)
    yield from _species(plan, document, library)
    yield from _ids(plan, document, library)
    yield from _never(plan, document, library)
    yield from _own_values(plan, document, library)


def _duplicates(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    seen: dict[str, Path] = {}
    places: list[tuple[Path, str]] = []
    for section in SECTIONS:
        places += [((section, i, "name"), part.name) for i, part in enumerate(getattr(plan, section))]
    for section in ("doors", "vents", "fans"):
        parts = getattr(plan.enclosure, section)
        places += [(("enclosure", section, i, "name"), part.name) for i, part in enumerate(parts)]
    for path, name in places:
        first = seen.setdefault(slug(name), path)
        if first is not path:
            line = document.mark(first).line
            needed = f"a name of its own; line {line} already has one that reads the same"
            yield problem_at(document, path, "names.duplicate", needed, fix=f"{name} 2")
    animals: dict[str, int] = {}
    displayed: dict[str, int] = {}
    for i, animal in enumerate(plan.animals):
        name = slug(animal.name or animal.species)
        if name in animals:
            path = ("animals", i, "name") if animal.name else ("animals", i, "species")
            needed = f"a `name` that tells it from animals[{animals[name]}]"
            yield problem_at(document, path, "names.duplicate", needed, fix=f"name: {name} 2")
        animals.setdefault(name, i)
        entry = next((e for e in library.animals.values() if e.species.value == animal.species), None)
        shown = animal.name or (str(entry.common_name.value) if entry is not None else animal.species)
        other = displayed.setdefault(slug(shown), i)
        if other != i and animals[name] == i:
            needed = f"a `name` that tells it from animals[{other}], which is called {shown} too"
            path = ("animals", i, "name") if animal.name else ("animals", i, "species")
            yield problem_at(document, path, "names.duplicate", needed, fix=f"name: {shown} 2")
        yield from _size(plan, document, library, i)
        if animal.stage != "adult" and animal.snout_vent is None:
            needed = (
                "`snout_vent`: the library knows adults only, and a young one's reach and head are its own"
            )
            fix = "snout_vent: 5 cm"
            path = ("animals", i, "stage")
            yield problem_at(
                document, path, "animal.size-needed", needed, wrote=f"{animal.stage}, no size", fix=fix
            )


def _size(plan: Plan, document: Document, library: Library, i: int) -> Iterator[Problem]:
    animal = plan.animals[i]
    entry = next((e for e in library.animals.values() if e.species.value == animal.species), None)
    if entry is None or animal.snout_vent is None:
        return
    typical = float(entry.snout_vent_typical.value)  # type: ignore[arg-type]  # a length is a number
    smallest = ADULT_FROM if animal.stage == "adult" else HATCHLING_FROM
    if not smallest * typical <= animal.snout_vent <= ADULT_TO * typical:
        low, high = (format_quantity(x * typical, "length", plan.show_units) for x in (smallest, ADULT_TO))
        needed = f"a length of head and body from {low} to {high} for this species as {animal.stage}"
        yield problem_at(document, ("animals", i, "snout_vent"), "animal.size-unlikely", needed)


def _species(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    known = {str(entry.species.value): entry for entry in library.animals.values()}
    for i, animal in enumerate(plan.animals):
        if animal.profile == "blank":
            yield from _blank(document, library, i, animal)
        elif animal.species not in known:
            near = nearest(animal.species, known)
            needed = f"a species of the library ({_listed(known, 'animals')}); or beside it `profile: blank`"
            yield problem_at(document, ("animals", i, "species"), "library.unknown-id", needed, fix=near)


def _blank(document: Document, library: Library, i: int, animal: Animal) -> Iterator[Problem]:
    """An animal the library does not know has no size but its own, and no family but a known one."""
    if animal.snout_vent is None:
        needed = "`snout_vent`: nothing is known of an animal without a profile, not even its size"
        path: Path = ("animals", i, "profile")
        yield problem_at(
            document, path, "animal.size-needed", needed, wrote="blank, no size", fix="snout_vent: 150 cm"
        )
    known = [str(family.name.value) for family in library.families.values()]
    if animal.family is not None and animal.family not in known:
        needed = f"a family of the library: {', '.join(known)}; or none"
        near = nearest(animal.family, known)
        yield problem_at(document, ("animals", i, "family"), "library.unknown-id", needed, fix=near)


def _ids(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    for path, value, sections in _used_ids(plan):
        known: dict[str, Any] = {}
        for section in sections:
            known.update(_section(library, section))
        if value not in known:
            needed = f"an id of the library's {' or '.join(sections)}: {_listed(known, sections[0])}"
            yield problem_at(document, path, "library.unknown-id", needed, fix=nearest(value, known))


def _never(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Yield perches of a wood that harms who lives with it; a value of the user's own does not lift that."""
    for i, perch in enumerate(plan.perches):
        wood = library.woods.get(perch.wood)
        if wood is None or wood.use.value != "never":
            continue
        needed = f"a wood an animal can live with; this one is {wood.hazard.value} ({wood.hazard.source})"
        yield problem_at(document, ("perches", i, "wood"), "library.never", needed, fix=HARMLESS_WOOD)


def _listed(known: Iterable[str], section: str) -> str:
    """All ids, or where nobody reads so many, how to find them."""
    ids = sorted(known)
    if len(ids) <= READ_BY_EYE:
        return ", ".join(ids)
    return f"one of {len(ids)}, which `sunfleck library search {section}` lists"


def _used_ids(plan: Plan) -> Iterator[tuple[Path, str, tuple[str, ...]]]:
    yield from _used_by_the_box(plan)
    for i, fixture in enumerate(plan.fixtures):
        yield ("fixtures", i, "lamp"), fixture.lamp, ("lamps",)
        if fixture.guard is not None:
            yield ("fixtures", i, "guard"), fixture.guard, ("guards",)
        yield from _used_between(i, fixture)
    for i, perch in enumerate(plan.perches):
        yield ("perches", i, "wood"), perch.wood, ("woods",)
    for section in ("ledges", "backgrounds"):
        for i, part in enumerate(getattr(plan, section)):
            yield (section, i, "finish"), part.finish, ("finishes",)
    for i, panel in enumerate(plan.backgrounds):
        if panel.core is not None:
            yield ("backgrounds", i, "core"), panel.core, ("materials",)
    if plan.substrate is not None:
        yield ("substrate", "finish"), plan.substrate.finish, ("finishes",)
        if plan.substrate.made_of is not None:
            yield ("substrate", "made_of"), plan.substrate.made_of, ("substrates",)


def _used_by_the_box(plan: Plan) -> Iterator[tuple[Path, str, tuple[str, ...]]]:
    for face in ("default", "left", "right", "front", "back", "bottom", "top"):
        wall = getattr(plan.enclosure.walls, face)
        if wall is not None:
            place: Path = ("enclosure", "walls", face)
            yield (*place, "material"), wall.material, ("panes", "materials")
            if wall.finish is not None:
                yield (*place, "finish"), wall.finish, ("finishes",)
    for i, vent in enumerate(plan.enclosure.vents):
        yield ("enclosure", "vents", i, "mesh"), vent.mesh, ("meshes",)
    for i, fan in enumerate(plan.enclosure.fans):
        yield ("enclosure", "fans", i, "fan"), fan.fan, ("fans",)
    for i, door in enumerate(plan.enclosure.doors):
        if door.material is not None:
            yield ("enclosure", "doors", i, "material"), door.material, ("panes", "materials")


def _used_between(i: int, fixture: Fixture) -> Iterator[tuple[Path, str, tuple[str, ...]]]:
    for k, reading in enumerate(fixture.evidence):
        for j, id_ in enumerate(reading.through):
            yield ("fixtures", i, "evidence", k, "through", j), id_, BETWEEN


def _own_values(plan: Plan, document: Document, library: Library) -> Iterator[Problem]:
    """Values of one entry are looked at together: a lamp's heat can only be changed along with its radiation."""
    last: dict[tuple[str, str], str] = {}
    changed = library
    for key, own in plan.own_values.items():
        path: Path = ("own_values", key)
        try:
            changed = changed.replaced(key, own.value, source=own.source, basis=own.basis, alone=False)
            section, id_, _ = key.split("/")
            last[section, id_] = key
        except KeyError as error:
            near = nearest(key, library.value_keys())
            needed = f"section/id/field of a library value ({error.args[0]})"
            yield problem_at(document, path, "library.unknown-id", needed, wrote=key, fix=near)
        except ValueError as error:
            yield problem_at(document, (*path, "value"), "library.own-value", str(error))
    for (section, id_), key in last.items():
        faults = contradictions(_section(changed, section)[id_])
        if faults:
            needed = f"a value that fits the rest of {section}/{id_} ({'; '.join(faults)})"
            yield problem_at(document, ("own_values", key, "value"), "library.own-value", needed)


def _section(library: Library, section: str) -> Mapping[str, Any]:
    return getattr(library, section)  # type: ignore[no-any-return]  # every section is a mapping by id
