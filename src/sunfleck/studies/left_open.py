"""What a check leaves open, derived from what the program has and the plan lacks; and its cautions."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.brief.build import Brief

# What the program does not compute yet. A line goes when its study arrives.
NOT_COMPUTED = (
    "light reflected by walls and furnishing (direct light only; a white or bare-metal wall adds to it)",
    "temperatures: basking spot, warm end, cool end, night, heat waves, failures of a lamp or thermostat",
    "humidity, mist, drainage and water",
    "whether every part goes through the door, and comes out again for service",
    "strength of perches and shelves, weight on stand and floor",
    "escape gaps for the animal, its young and its feeders",
    "electrical load, plugs and residual-current protection",
    "hanging a lamp 2 cm higher or lower than written, and lamp bodies as shade",
    "the way between footholds: reach is a straight distance and may say too much, not too little",
)

CAUTIONS = (
    "UV: strong UV lamps hurt eyes and skin, yours too. Do not look into them, switch them off when you "
    "reach in, and measure at the animal's back before it moves in.",
    "Heat and fire: halogen and ceramic lamps reach several hundred degrees. Keep wood, cork, foam and leaves "
    "30 cm away, above as well; use a fixed guard, a tether and an independent high-limit cut-out.",
    "Mains near water: drip loops, covered holders, a residual-current device. Have a licensed electrician do "
    "or check fixed wiring; local codes stand above this program.",
    "Animals: law, permits and minimum sizes differ by place and date. A reptile veterinarian decides where "
    "an animal's health is in question. Wash hands after every contact (salmonella).",
)


def not_checked(brief: Brief) -> tuple[str, ...]:
    """Return what this program or this plan leaves open."""
    return (*_of_the_plan(brief), *NOT_COMPUTED)


def _of_the_plan(brief: Brief) -> Iterator[str]:
    unread = [fixture.name for fixture in brief.fixtures if "uvi" in fixture.outputs and not fixture.metered]
    if unread:
        yield f"the real UV output of {', '.join(unread)}: no reading is in the plan, a class value stands in"
    ageing = [fixture.name for fixture in brief.fixtures if "uvi" in fixture.outputs]
    if ageing:
        yield f"ageing of {', '.join(ageing)}: the UV index is that of a lamp just run in"
    travel = [fixture.name for fixture in brief.fixtures if fixture.fixture.travel is None]
    if travel:
        yield f"bracket travel: none is stated for {', '.join(travel)}"
    if any(fixture.fixture.travel is not None for fixture in brief.fixtures):
        yield "whether the stated bracket travel covers the whole range"
    uncontrolled = [f.name for f in brief.fixtures if f.heats and f.fixture.control is None]
    if uncontrolled:
        yield f"a thermostat with cut-out: none is stated for {', '.join(uncontrolled)}"
    if brief.plan.plants:
        yield "growth: leaves are those of the day of the plan, their places drawn at random within the crown"
    for animal in brief.animals:
        if animal.uv_floor is None:
            yield f"a least UV index for {animal.name}: its profile states none"
        if animal.uv_ceiling is None:
            yield f"a UV ceiling for {animal.name}: its profile states none"
    yield "the animals' profiles: no keeper has accepted their targets yet (bases in docs/sources.md)"
    lock = brief.plan.library
    if lock is not None and lock.hash != brief.source.library.hash:
        yield "what changed in the library since the plan was locked to it"
