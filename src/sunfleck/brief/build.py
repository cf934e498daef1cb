"""Make the brief: bind every reference, resolve every number, draw the factors."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sunfleck.brief.animals import AnimalBrief, animal_brief
from sunfleck.brief.factors import FactorMatrix, FactorTable
from sunfleck.brief.heat import heat_matrix
from sunfleck.brief.lamps import FixtureBrief, fixture_brief, hung_elsewhere
from sunfleck.brief.media import Sheet, guard_sheets
from sunfleck.brief.surfaces import reflection_factors
from sunfleck.brief.surroundings import Surroundings, surroundings
from sunfleck.geometry.boxes import FACES
from sunfleck.library.loader import Library
from sunfleck.plan.fixtures import Fixture
from sunfleck.plan.models import Plan
from sunfleck.plan.moved import PLACES
from sunfleck.plan.read import PlanSource


@dataclass(frozen=True, eq=False)
class Brief:
    """A plan as resolved: everything the studies need, in SI units.

    Attributes
    ----------
    source : PlanSource
        The plan as written, for line numbers.
    library : Library
        The library with the user's own values in it.
    surroundings : Surroundings
        The furnished box.
    fixtures : tuple of FixtureBrief
        Lamps as hung, in the plan's order.
    guards : tuple of Sheet
        Sides of the guards round them.
    animals : tuple of AnimalBrief
        Animals, in the plan's order.
    matrix : FactorMatrix
        Uncertain factors, shared by all studies.
    heat : FactorMatrix
        What nobody knows of heat, row by row the same worlds.
    reflection : dict of str to int
        Column of the factor of what is reflected, by kind of light.
    around_factors : int
        How many of the factors, the first ones, belong to the surroundings.
    """

    source: PlanSource
    library: Library
    surroundings: Surroundings
    fixtures: tuple[FixtureBrief, ...]
    guards: tuple[Sheet, ...]
    animals: tuple[AnimalBrief, ...]
    matrix: FactorMatrix
    heat: FactorMatrix
    reflection: dict[str, int]
    around_factors: int

    @property
    def plan(self) -> Plan:
        """The plan as written."""
        return self.source.plan

    @property
    def sheets(self) -> tuple[Sheet, ...]:
        """Meshes and panes of the carcass, then the sides of the guards."""
        return (*self.surroundings.sheets, *self.guards)


def make_brief(source: PlanSource, before: Brief | None = None) -> Brief:
    """Resolve a checked plan.

    Parameters
    ----------
    source : PlanSource
        A plan without problems.
    before : Brief, optional
        The brief of the plan as it was: what stands where it stood is taken over from there, so that a
        lamp that moves does not build the box anew. [-]

    Returns
    -------
    brief : Brief
        Ready for the studies; the same with or without `before`.
    """
    library = source.library
    for key, own in source.plan.own_values.items():
        library = library.replaced(key, own.value, source=own.source, basis=own.basis, alone=False)
    if before is not None and stands_as(before, source):
        around, table = before.surroundings, FactorTable(before.matrix.factors[: before.around_factors])
    else:
        table = FactorTable()
        around = surroundings(source.plan, library, table, Path(source.document.file).parent)
    # Factors of what stands come first, so that their columns are the same wherever lamps hang.
    count = len(table)
    reflection = reflection_factors(table)
    if before is not None and _same_lamps_elsewhere(before, source):
        table = FactorTable(before.matrix.factors)
        pairs = zip(before.fixtures, source.plan.fixtures, strict=True)
        fixtures = tuple(hung_elsewhere(lamp, fixture, source.plan) for lamp, fixture in pairs)
    else:
        fixtures = tuple(
            fixture_brief(source, library, index, table) for index in range(len(source.plan.fixtures))
        )
    guards = guard_sheets(source.plan, library, table)
    animals = tuple(animal_brief(source, library, index) for index in range(len(source.plan.animals)))
    matrix = table.matrix()
    return Brief(
        source,
        library,
        around,
        fixtures,
        guards,
        animals,
        matrix,
        heat_matrix(matrix.rows),
        reflection,
        around_factors=count,
    )


def _same_lamps_elsewhere(before: Brief, source: PlanSource) -> bool:
    """Whether at most places of lamps differ, in what stands as it did: what is known of the lamps is the same."""
    nowhere = dict.fromkeys(PLACES["fixtures"])

    def known(plan: Plan) -> tuple[Any, ...]:
        return plan.meters, [fixture.model_copy(update=nowhere) for fixture in plan.fixtures]

    # Of the same text, so that every value still says the line it stands in.
    return (
        before.source.document is source.document
        and known(before.plan) == known(source.plan)
        and stands_as(before, source)
    )


def stands_as(before: Brief, source: PlanSource) -> bool:
    """Whether everything but lamps and animals is as it was, library values included.

    Parameters
    ----------
    before : Brief
        A plan as resolved.
    source : PlanSource
        Another, or the same one later.

    Returns
    -------
    alike : bool
        False also where a file beside the plan shapes a branch: it may have changed while the plan has not.
    """
    then, now = before.plan, source.plan
    if any(perch.shape is not None for perch in now.perches):
        return False
    return (
        before.source.library.hash == source.library.hash
        and then.own_values == now.own_values
        and _as_light_meets_it(then) == _as_light_meets_it(now)
    )


def lit_alike(before: Brief, after: Brief) -> bool:
    """Whether, with all lamps on, the same light falls everywhere in two plans: they differ in what is no light's.

    Parameters
    ----------
    before, after : Brief
        A plan, and the same plan changed; `after` was made with `before`.

    Returns
    -------
    alike : bool
        True where at most the room, fans, walls' thickness, cores, timers and thermostats differ.
    """
    timed = {"hours": None, "winter_hours": None, "control": None}

    def fixtures(brief: Brief) -> list[Fixture]:
        return [fixture.model_copy(update=timed) for fixture in brief.plan.fixtures]

    same_things = before.surroundings is after.surroundings and before.plan.animals == after.plan.animals
    return same_things and before.plan.meters == after.plan.meters and fixtures(before) == fixtures(after)


STANDING = ("substrate", "perches", "ledges", "hides")


def _as_light_meets_it(plan: Plan) -> tuple[Any, ...]:
    """What stands in a plan, without what only heat, air or hands meet: fans, thick walls, cores, pots, relief."""
    enclosure = plan.enclosure
    walls = {
        face: (wall.material, wall.finish)
        for face, wall in ((face, getattr(enclosure.walls, face)) for face in ("default", *FACES))
        if wall is not None
    }
    fittings = {"thickness": None, "gap": None, "opens": None, "lap": None, "handle": None}
    doors = tuple(door.model_copy(update=fittings) for door in enclosure.doors)
    panels = tuple(panel.model_copy(update={"core": None, "relief": ()}) for panel in plan.backgrounds)
    plants = tuple(plant.model_copy(update={"pot": None}) for plant in plan.plants)
    parts = tuple(getattr(plan, part) for part in STANDING)
    return enclosure.inside, walls, doors, enclosure.vents, panels, plants, parts
