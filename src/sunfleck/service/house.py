"""The way of the box through the house, for any face."""

from __future__ import annotations

from sunfleck.errors import DomainError
from sunfleck.plan.read import PlanSource
from sunfleck.studies.house_route import HouseRoute, house_route


def route_of(source: PlanSource) -> HouseRoute:
    """Answer whether a plan's box gets to its place.

    Parameters
    ----------
    source : PlanSource
        As :func:`sunfleck.read_plan` returns it.

    Returns
    -------
    route : HouseRoute
        Stage by stage.

    Raises
    ------
    DomainError
        If the plan states no route.
    """
    library = source.library
    for key, own in source.plan.own_values.items():
        library = library.replaced(key, own.value, source=own.source, basis=own.basis, alone=False)
    found = house_route(source.plan, library)
    if found is None:
        msg = (
            "the plan states no way through the house; add to `site`, as an example:\n"
            "  route:\n    - {door: [76 cm, 200 cm], name: front door}"
        )
        raise DomainError(msg)
    return found
