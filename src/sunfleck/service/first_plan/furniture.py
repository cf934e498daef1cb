"""What the animal stands on, hides in and climbs; and the plants."""

from __future__ import annotations

from sunfleck.document.entries import Entry
from sunfleck.service.first_plan.hanging import capital
from sunfleck.service.first_plan.measures import OFF_A_WALL, Measures
from sunfleck.service.first_plan.proposal import LeftOpen
from sunfleck.service.first_plan.writing import Draft

# Higher than this over the ground a slab wants a branch that leads up to it. Common practice, no source. [m]
STEP_UP = 0.12
# Leaves for who drinks from them and hides in them; none for who eats or flattens them. Library: climate humid.
LEAVES = "Epipremnum aureum"
RAISED = 0.25
SMALL_BOX = 0.50


def furniture_of(draft: Draft, measures: Measures) -> None:
    """Write ledges, perches, hides and plants into a draft."""
    if measures.design.habit == "limb":
        _limbs(draft, measures)
    else:
        _slab(draft, measures)
    _hides(draft, measures)
    _plants(draft, measures)


def _slab(draft: Draft, measures: Measures) -> None:
    animal = measures.wanted.animal
    long, deep, thick = measures.ledge
    x, y, _ = measures.spot
    top = measures.ground + measures.design.rest
    basks = measures.design.floods is not None
    low = (measures.snap(x - long / 2), measures.snap(y - deep / 2))
    finish = "rock-grey" if measures.arid or basks else "cork"
    entry: dict[str, Entry] = {
        "name": "basking slab" if basks else "warm slab",
        "at": draft.point(*low, measures.snap(top) - thick),
        "size": draft.point(long, deep, thick),
        "finish": finish,
    }
    name = measures.library.finishes[finish].name.value
    draft.add(
        "ledges",
        entry,
        str(entry["name"]),
        f"{capital(str(animal.common_name.value))}: {draft.length(measures.body)} from snout to vent lies whole on "
        f"{draft.length(long)} by {draft.length(deep)}, at the warm end. Of {name}, which takes up heat and gives it back.",
        "library",
    )
    if measures.design.rest > STEP_UP:
        _ramp(draft, measures, low[0] + long, y, top)
    if str(animal.reach_class.value) != "ground" and measures.width > SMALL_BOX:
        _climbing_branch(draft, measures)


def _ramp(draft: Draft, measures: Measures, edge: float, y: float, top: float) -> None:
    radius = measures.limb / 2
    foot = min(edge + 1.3 * (top - measures.ground), measures.width - 0.05)
    path = [
        draft.point(measures.snap(foot), measures.snap(y), measures.ground + radius),
        draft.point(edge + radius + 0.002, measures.snap(y), top - radius),
    ]
    entry: dict[str, Entry] = {
        "name": "way up",
        "path": path,
        "diameter": [_thick(draft, measures.limb)],
        "wood": "oak",
    }
    draft.add(
        "perches",
        entry,
        "way up",
        f"The slab is {draft.length(top - measures.ground)} over the ground: a branch leads up to it.",
        "common practice, no source",
    )


def _climbing_branch(draft: Draft, measures: Measures) -> None:
    radius = measures.limb / 2
    rise = min(0.12 + radius, 0.2 * measures.height)
    path = [
        draft.point(
            measures.snap(0.70 * measures.width),
            measures.snap(0.78 * measures.back),
            measures.ground + radius,
        ),
        draft.point(
            measures.width - radius, measures.snap(0.68 * measures.back), measures.ground + radius + rise
        ),
    ]
    entry: dict[str, Entry] = {
        "name": "climbing branch",
        "path": path,
        "diameter": [_thick(draft, measures.limb)],
        "wood": "oak",
    }
    draft.add(
        "perches",
        entry,
        "climbing branch",
        f"It climbs: a branch of {_thick(draft, measures.limb)} (head {draft.length(measures.head)} wide, library) at the cool "
        "end, held by the ground and the right wall, low so that no lamp comes into reach from it.",
        "common practice, no source",
    )


def _limbs(draft: Draft, measures: Measures) -> None:
    radius = measures.limb / 2
    x, y, _ = measures.spot
    z = measures.ground + measures.design.rest
    wide = measures.width
    straight = min(0.9 * measures.body, 0.35 * wide)
    left, right = max(x - straight, 0.10), min(x + straight, wide - 0.10)
    path = [
        draft.point(
            OFF_A_WALL / 2, measures.snap(y - 0.05), measures.snap(max(z - 0.12, measures.ground + 0.05))
        ),
        draft.point(measures.snap(left), y, measures.snap(z)),
        draft.point(measures.snap(right), y, measures.snap(z)),
        draft.point(
            wide - OFF_A_WALL / 2,
            measures.snap(y + 0.06),
            measures.snap(max(z - 0.10, measures.ground + 0.05)),
        ),
    ]
    entry: dict[str, Entry] = {
        "name": "main limb",
        "path": path,
        "diameter": [_thick(draft, measures.limb)],
        "wood": "oak",
    }
    draft.add(
        "perches",
        entry,
        "main limb",
        f"{_thick(draft, measures.limb)} thick, for a head {draft.length(measures.head)} wide (library; the foot closes on "
        f"half to three quarters of it). Level for {draft.length(right - left)} under the lamps, longer than head and body; "
        "held by both side walls.",
        "common practice, no source",
    )
    low = measures.ground + max(0.40 * measures.design.rest, 0.06)
    foot = [
        draft.point(
            measures.snap(0.62 * wide), measures.snap(0.30 * measures.back), measures.ground + radius
        ),
        draft.point(wide - radius, measures.snap(0.42 * measures.back), measures.snap(low)),
    ]
    lower: dict[str, Entry] = {
        "name": "lower limb",
        "path": foot,
        "diameter": [_thick(draft, measures.limb)],
        "wood": "oak",
    }
    draft.add(
        "perches",
        lower,
        "lower limb",
        "From the ground up at the cool end: a low, cool place to rest, and the way up.",
        "common practice, no source",
    )
    up = [
        draft.point(
            measures.snap(0.80 * wide), measures.snap(0.72 * measures.back), measures.ground + radius
        ),
        draft.point(measures.snap(max(x, 0.42 * wide)), measures.snap(y) + radius * 1.6, z - radius * 1.4),
    ]
    upright: dict[str, Entry] = {
        "name": "upright",
        "path": up,
        "diameter": [_thick(draft, measures.limb)],
        "wood": "oak",
    }
    draft.add(
        "perches",
        upright,
        "upright",
        "Leads from the ground to the main limb, which it props.",
        "common practice, no source",
    )


def _hides(draft: Draft, measures: Measures) -> None:
    long, deep, tall = measures.hide
    gap = measures.beside_a_hide
    x = measures.snap(measures.width - long - gap)
    snug = f"{draft.length(long)} x {draft.length(deep)} x {draft.length(tall)}"
    entry: dict[str, Entry] = {
        "name": "cool hide",
        "at": draft.point(x, 0.05, measures.ground),
        "size": draft.point(long, deep, tall),
        "opening": "right",
    }
    draft.add(
        "hides",
        entry,
        "cool hide",
        f"At the end away from the lamps, snug at {snug} for a body of {draft.length(measures.body)}; open to the wall, so that "
        "no UV gets in.",
        "common practice, no source",
    )
    place = _warm_hide_place(measures)
    if place is None:
        draft.left_open.append(
            LeftOpen(
                "second hide",
                f"No room for a second hide of {snug} at the warm end: one retreat at each end is usual "
                "(common practice, no source); a hollow under the slab serves.",
            )
        )
        return
    warm: dict[str, Entry] = {
        "name": "warm hide",
        "at": draft.point(*place, measures.ground),
        "size": draft.point(deep, long, tall),
        "opening": "front",
    }
    draft.add(
        "hides",
        warm,
        "warm hide",
        "One retreat at each end, so that it need not choose between warmth and cover.",
        "common practice, no source",
    )


def _warm_hide_place(measures: Measures) -> tuple[float, float] | None:
    """Left of the slab in the back corner, or right of it at the back; None where it would stand in something. [m]"""
    long, deep, _ = measures.hide
    y = measures.snap(measures.back - long - 0.02)
    if y < 0.01:
        return None
    if measures.design.habit == "limb":
        return 0.02, y
    slab = measures.spot[0] - measures.ledge[0] / 2, measures.spot[0] + measures.ledge[0] / 2
    if slab[0] - 0.02 >= deep + 0.01:
        return 0.02, y
    right = measures.snap(slab[1] + 0.02)
    # The climbing branch begins there, and the cool hide stands in front.
    cool = measures.width - measures.hide[0] - measures.beside_a_hide
    behind_it = y >= 0.05 + measures.hide[1] + 0.02
    if (
        measures.design.rest <= STEP_UP
        and right + deep <= 0.68 * measures.width
        and (behind_it or right + deep <= cool)
    ):
        return right, y
    return None


def _plants(draft: Draft, measures: Measures) -> None:
    animal = measures.wanted.animal
    if measures.arid or (
        str(animal.diet.value) in ("plants", "insects and plants") and measures.design.habit != "limb"
    ):
        return
    if measures.snake or measures.width < SMALL_BOX - 0.1:
        return
    radius = measures.snap(min(0.16, 0.16 * measures.width, 0.22 * measures.back))
    tall = measures.snap(min(0.30, 0.3 * measures.height))
    low = measures.ground + tall / 2
    entry: dict[str, Entry] = {
        "name": "pothos",
        "species": LEAVES,
        "crown": {
            "middle": draft.point(measures.width - radius, measures.back - radius, low),
            "radius": draft.length(radius),
            "height": draft.length(tall),
        },
        "leaf_area": f"{max(0.02, 6 * radius * radius * tall / 0.16):.2f} m2",
    }
    draft.add(
        "plants",
        entry,
        "pothos",
        "Cover and damp air in the cool back corner; it holds on little light (library) and stands out of the lamps' beams.",
        "library",
    )


def _thick(draft: Draft, metres: float) -> str:
    if draft.system == "us":
        return draft.length(max(metres, 0.0254 / 4))
    return f"{1000 * metres:.0f} mm"
