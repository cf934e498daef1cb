"""What a plan leaves open: what it does not state, and what nobody has read or accepted; and the cautions."""

from __future__ import annotations

from collections.abc import Iterator

from sunfleck.brief.build import Brief
from sunfleck.brief.givens import number
from sunfleck.brief.lamps import FixtureBrief
from sunfleck.geometry.boxes import FACES
from sunfleck.studies.readings import readings_of

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


def open_points(brief: Brief) -> tuple[str, ...]:
    """Return what this plan leaves open."""
    return (*_of_the_lamps(brief), *_of_the_box(brief), *_of_the_animals(brief))


def _of_the_lamps(brief: Brief) -> Iterator[str]:
    uv = [fixture for fixture in brief.fixtures if "uvi" in fixture.outputs]
    if not brief.fixtures:
        yield "light and heat: the plan has no lamp"
    yield from _of_the_readings(brief, uv)
    new = [f.name for f in uv if f.lamp.uv_fading is not None and f.fixture.age is None and not f.metered]
    if new:
        yield f"the age of {', '.join(new)}: taken as just run in, 100 h (`age: 1500 h` says otherwise)"
    fading = [
        f"{100 * number(f.lamp.uv_fading):.2g} % ({f.name})" for f in uv if f.lamp.uv_fading is not None
    ]
    if fading:
        yield (
            "how much UV there will be months from now: in every 100 h of burning "
            f"{', '.join(fading)} of it is lost; read the lamps again, or state a later age and check"
        )
    fixed = [f.name for f in brief.fixtures if f.fixture.travel is None and "uvi" not in f.outputs]
    if fixed:
        yield f"bracket travel: none is stated for {', '.join(fixed)}"
    uncontrolled = [f for f in brief.fixtures if f.heats and f.fixture.control is None]
    driven = [f.name for f in uncontrolled if str(f.lamp.controllers.value) != "timer only"]
    if driven:
        yield f"a thermostat with cut-out: none is stated for {', '.join(driven)}"
    undriven = [f.name for f in uncontrolled if f.name not in driven]
    if undriven:
        yield f"a cut-out of its own for {', '.join(undriven)}: no thermostat may drive such lamps, and they heat"
    untimed = [fixture.name for fixture in brief.fixtures if fixture.fixture.hours is None]
    if untimed:
        yield f"when {', '.join(untimed)} is lit: no hours are stated, it is taken as lit all day and night"
    shining = [fixture for fixture in brief.fixtures if not fixture.lamp.dark]
    if all(any(f.lit_at(t) for f in shining) for t in range(0, 86400, 900)):
        yield "dark hours: some lamp is lit all day and night"
    # What is made to be lain on cannot fall.
    hung = [f for f in brief.fixtures if f.heats and number(f.lamp.least_distance) > 0]
    loose = [f.name for f in hung if f.fixture.tether is None]
    if loose:
        yield f"a tether that holds the lamp when its holder fails: none is stated for {', '.join(loose)}"


def _of_the_readings(brief: Brief, uv: list[FixtureBrief]) -> Iterator[str]:
    unread = [fixture.name for fixture in uv if not fixture.metered]
    if unread:
        yield f"the real UV output of {', '.join(unread)}: no reading is in the plan, a class value stands in"
    for lamp in readings_of(brief):
        yield from (
            f"{question}; until it is mended, every range that rests on it is wide"
            for question in lamp.questions
        )


def _of_the_box(brief: Brief) -> Iterator[str]:
    walls = brief.plan.enclosure.walls
    bare = [face for face in FACES if walls.of(face).finish is None]
    opaque = [face for face in bare if walls.of(face).material not in brief.library.panes]
    if opaque:
        yield (
            f"the finish of these walls: {', '.join(opaque)}; taken as rough enough to climb and as bright as wood"
        )
    if not brief.plan.enclosure.vents:
        yield "how air gets in and out: the plan has no vent"
    if any(plant.leaf is None for plant in brief.plan.plants):
        names = ", ".join(plant.name for plant in brief.plan.plants if plant.leaf is None)
        yield (
            f"spots of full light behind {names}: a crown without a leaf size is even shade, and the light behind a "
            "real one is brighter in spots; state `leaf` where a ceiling matters"
        )
    if any(plant.leaf is not None for plant in brief.plan.plants):
        yield (
            "growth: leaves are those of the day of the plan, their places drawn at random within the crown; up to half "
            "of them lost is in the ranges, a bare plant is not"
        )
    pots = [f"pot of {plant.name}" for plant in brief.plan.plants if plant.pot is not None]
    vessels = [*(bowl.name for bowl in brief.plan.bowls), *pots]
    raised = [panel.name for panel in brief.plan.backgrounds if panel.relief]
    if vessels or raised:
        things = ", ".join([*vessels, *(f"relief of {name}" for name in raised)])
        yield f"shade, water and warmth of {things}: asked through the door only, light and climate leave them out"
    lock = brief.plan.library
    if lock is not None and lock.hash != brief.source.library.hash:
        yield "what changed in the library since the plan was locked to it"


def _of_the_animals(brief: Brief) -> Iterator[str]:
    if any(animal.count > 1 for animal in brief.plan.animals):
        yield "whether there is a place for each: verdicts are for one animal, whatever the count"
    unaccepted = [animal.name for animal in brief.animals if not animal.accepted]
    if unaccepted:
        yield (
            f"the targets of {', '.join(unaccepted)}: no keeper has accepted them yet (`accepted: {{by: ..., date: ...}}` "
            "with values of your own where you differ; bases in docs/sources.md)"
        )
