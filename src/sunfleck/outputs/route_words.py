"""The way of the box through the house as text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.outputs.verdict_words import SIGNS, wrapped
from sunfleck.studies.house_route import BASIS, CAUTION, EACH, LEFT_OUT, STATES, HouseRoute
from sunfleck.studies.questions.house_route import advice, sentence
from sunfleck.units import System, format_at_least, format_quantity

FACE_DOWN = {0: "lying on its side", 1: "lying on its back", 2: "upright"}
LEADING = {0: "one side first", 1: "its back first", 2: "its top first"}


def route_text(route: HouseRoute, system: System, name: str) -> str:
    """Return the way through the house as a person reads it.

    Parameters
    ----------
    route : HouseRoute
        Stage by stage.
    system : str
        ``metric`` or ``us``.
    name : str
        The plan's.

    Returns
    -------
    text : str
        The verdict, each stage with how it is carried, what would pass, weight and cautions.
    """
    return "\n".join(_lines(route, system, name)) + "\n"


def _lines(route: HouseRoute, system: System, name: str) -> Iterator[str]:
    def shown(value: float) -> str:
        return format_quantity(value, "length", system)

    yield name
    inside, outside = (" x ".join(map(shown, size)) for size in (route.inside, route.outside))
    yield f"inside {inside}, outside {outside}   width x depth x height"
    yield ""
    yield from wrapped(f"{SIGNS[route.state]}  {sentence(route, system)}", "", "             ")
    yield ""
    yield f"STAGE BY STAGE   with {shown(route.clearance)} for hands on every side ({BASIS})"
    for stage in route.box.stages:
        words: str = stage.verdict
        how = stage.carriage
        if how is not None:
            free = format_at_least(stage.spare, system)
            told = f"{FACE_DOWN[how.up]}, {LEADING[how.ahead]}, {how.how}; {free} free on every side"
            words = (
                f"{words}: {told}"
                if stage.verdict == "goes"
                else f"{words} with room for hands; bare: {told}"
            )
        line = f"{SIGNS[STATES[stage.verdict]]}  {stage.stage.name}: {words}"
        yield from wrapped(line, "  ", "               ")
    told = advice(route, system)
    if told:
        yield from wrapped(f"do: {told}", "  ", "      ")
    if route.panels:
        yield ""
        yield "IN PANELS   each wall by itself"
        for part in route.panels:
            size = " x ".join(shown(edge) for edge in part.answer.size)
            weight = (
                "weight not known" if part.mass is None else format_quantity(part.mass, "mass", system, 0)
            )
            yield f"  {part.name:<7} {size}, {weight}: {part.answer.verdict}"
    yield ""
    yield "WEIGHT"
    if route.mass is None:
        yield from wrapped("not known: " + route.mass_basis, "  - ", "    ")
    else:
        weight, each = (format_quantity(value, "mass", system, 0) for value in (route.mass, EACH))
        people = f"{weight} of walls, {route.carriers} people at {each} each ({BASIS}); {route.mass_basis}"
        yield from wrapped(people, "  - ", "    ")
    for title, lines in (("NOT CHECKED", LEFT_OUT), ("CAUTION", (CAUTION,))):
        yield ""
        yield title
        for line in lines:
            yield from wrapped(line, "  - ", "    ")
