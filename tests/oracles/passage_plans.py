"""Plans that passage is asked about, as text, and their mirror images; and what collides, drawn from the plan alone."""

from __future__ import annotations

import numpy as np

from sunfleck.brief.build import make_brief
from sunfleck.plan.read import read_plan_text
from sunfleck.plan.solids import background_box, bowl_box, inside_box, ledge_box, pot_box
from sunfleck.studies.passage.study import PassageStudy

HEAD = """format: 1
name: A box
enclosure:
  inside: {{width: {w} cm, depth: {d} cm, height: {h} cm}}
  walls:
    default: {{material: plywood-birch, thickness: 20 mm, finish: plywood-sealed}}
  doors:
{doors}
animals:
  - {{species: Pogona vitticeps, sex: female, stage: adult, snout_vent: 21 cm, mass: 400 g}}
{rest}
"""


def text_of(inside, doors, rest=""):
    """A plan of a box; doors as mappings, the rest as text."""
    lines = []
    for name, each in doors.items():
        whole = {"face": "front", "kind": "lift-out", **each}
        lines.append(
            f"    - {{name: {name}, {', '.join(f'{key}: {value}' for key, value in whole.items())}}}"
        )
    w, d, h = inside
    return HEAD.format(w=w, d=d, h=h, doors="\n".join(lines), rest=rest)


def study_of(text):
    """Passage of a plan's text."""
    return PassageStudy(make_brief(read_plan_text(text)))


def blocks_of(plan):
    """By name, the blocks of what is block-like, from the plan's own words: not from what passage makes of it."""
    found = {panel.name: background_box(plan, panel) for panel in plan.backgrounds}
    found |= {part.name: ledge_box(part) for part in (*plan.ledges, *plan.hides)}
    found |= {bowl.name: bowl_box(bowl) for bowl in plan.bowls}
    found |= {f"pot of {plant.name}": pot_box(plan, plant) for plant in plan.plants if plant.pot is not None}
    return found


def limbs_of(plan):
    """By name, straight pieces of branches as (from, to, radius): of a taper the thinner end."""
    found = {}
    for perch in plan.perches:
        radius = [
            x / 2 for x in (perch.diameter if len(perch.diameter) > 1 else perch.diameter * len(perch.path))
        ]
        found[perch.name] = [
            (np.array(a), np.array(b), min(p, q))
            for a, b, p, q in zip(perch.path, perch.path[1:], radius, radius[1:], strict=False)
        ]
    for lamp in plan.fixtures:
        if lamp.from_ is not None and lamp.from_[2] < inside_box(plan).high[2]:
            found[lamp.name] = [(np.array(lamp.from_), np.array(lamp.to), 0.008)]
    return found
