"""Make the brief: bind every reference, resolve every number, draw the factors."""

from __future__ import annotations

from dataclasses import dataclass

from sunfleck.brief.animals import AnimalBrief, animal_brief
from sunfleck.brief.factors import FactorMatrix, FactorTable
from sunfleck.brief.lamps import FixtureBrief, fixture_brief
from sunfleck.brief.surroundings import Surroundings, surroundings
from sunfleck.library.loader import Library
from sunfleck.plan.models import Plan
from sunfleck.plan.read import PlanSource


@dataclass(frozen=True)
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
    animals : tuple of AnimalBrief
        Animals, in the plan's order.
    matrix : FactorMatrix
        Uncertain factors, shared by all studies.
    """

    source: PlanSource
    library: Library
    surroundings: Surroundings
    fixtures: tuple[FixtureBrief, ...]
    animals: tuple[AnimalBrief, ...]
    matrix: FactorMatrix

    @property
    def plan(self) -> Plan:
        """The plan as written."""
        return self.source.plan


def make_brief(source: PlanSource) -> Brief:
    """Resolve a checked plan.

    Parameters
    ----------
    source : PlanSource
        A plan without problems.

    Returns
    -------
    brief : Brief
        Ready for the studies.
    """
    library = source.library
    for key, own in source.plan.own_values.items():
        library = library.replaced(key, own.value, source=own.source, basis=own.basis)
    table = FactorTable()
    fixtures = tuple(
        fixture_brief(source, library, index, table) for index in range(len(source.plan.fixtures))
    )
    around = surroundings(source.plan, library, table)
    animals = tuple(animal_brief(source, library, index) for index in range(len(source.plan.animals)))
    return Brief(source, library, around, fixtures, animals, table.matrix())
