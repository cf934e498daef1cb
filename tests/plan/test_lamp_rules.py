"""How lamps of every kind are driven, where flat ones find room, and own values that belong together."""

import pytest

from sunfleck.brief.build import make_brief
from sunfleck.document.problem import PlanError
from sunfleck.library.entries.lamps import CONTROLLERS
from sunfleck.library.loader import load_library
from sunfleck.plan.read import read_plan_text

BOX = """
format: 1
name: lamp box
enclosure:
  inside: {{width: 160 cm, depth: 60 cm, height: 100 cm}}
  walls: {{default: {{material: plywood-birch, thickness: 15 mm, finish: plywood-sealed}}}}
animals: [{{species: Pogona vitticeps, name: dragon}}]
fixtures:
{lamps}
{own}
"""
LAMPS = load_library().lamps
PROBE = "probe: [10 cm, 10 cm, 5 cm], target: 30 degC, cut_out: 35 degC"


def problems(lamps, own=""):
    """Rules broken, with what was needed and the remedy."""
    try:
        read_plan_text(BOX.format(lamps=lamps, own=own))
    except PlanError as error:
        return [(p.rule, p.needed, p.fix) for p in error.problems]
    return []


def hung(id_, more="", height=90):
    """A lamp in the middle of the box, by its kind."""
    length = LAMPS[id_].length
    if length is None:
        place = f"at: [80 cm, 30 cm, {height} cm], aim: [80 cm, 30 cm, 10 cm]"
    else:
        half = 50 * float(length.value)
        place = f"from: [{80 - half:g} cm, 30 cm, {height} cm], to: [{80 + half:g} cm, 30 cm, {height} cm]"
    return f"  - {{name: {id_}, lamp: {id_}, {place}{more}}}"


@pytest.mark.parametrize("id_", LAMPS)
def test_every_lamp_is_driven_by_what_may_drive_it(id_):
    """Each kind of thermostat on each lamp: refused with what would do, or accepted."""
    assert problems(hung(id_)) == []
    allowed = CONTROLLERS[LAMPS[id_].controllers.value]
    for kind in ("on-off", "pulse", "dimming"):
        found = problems(hung(id_, f", control: {{kind: {kind}, {PROBE}}}"))
        if kind in allowed:
            assert found == []
            continue
        ((rule, needed, fix),) = found
        assert rule == "lamp.controller"
        assert f"library lamps/{id_}: controllers" in needed
        if allowed:
            assert fix == f"kind: {allowed[0]}"
        else:
            assert needed.startswith("no `control`: nothing but a timer")


@pytest.mark.parametrize("id_", ["uv-t5-39w-strong-reflector", "ceramic-heater-60w", "metal-halide-50w-spot"])
def test_a_level_is_for_lamps_that_dim(id_):
    """Dimming by `level` keeps its own rule."""
    (found,) = problems(hung(id_, ", level: 50 %"))
    assert found[0] == "lamp.not-dimmable"
    assert problems(hung("heat-mat-15w", ", level: 50 %")) == []


@pytest.mark.parametrize(("above", "rules"), [(96, []), (91, []), (90.5, ["lamp.overlap"])])
def test_a_flat_lamp_is_flat(above, rules):
    """A tube of 16 mm hangs 6 cm or 1 cm below the face of a panel 34 cm wide; 5 mm below, its top is in the panel."""
    lamps = hung("led-panel-45w", height=above) + "\n" + hung("uv-t5-54w-reflector")
    assert [rule for rule, _, _ in problems(lamps)] == rules


def test_flat_lamps_side_by_side():
    """Two panels 34 cm wide need 34 cm from middle to middle, and little if one hangs over the other."""

    def two(x, z):
        other = f"  - {{name: other, lamp: led-panel-45w, at: [{x} cm, 30 cm, {z} cm], aim: [{x} cm, 30 cm, 10 cm]}}"
        return [rule for rule, _, _ in problems(hung("led-panel-45w") + "\n" + other)]

    assert two(116, 90) == []
    assert two(105, 90) == ["lamp.overlap"]
    assert two(80, 95) == []
    assert two(80, 92) == ["lamp.overlap"]


def own(**values):
    """Own values of one LED bar."""
    lines = [
        f"  lamps/led-bar-24w-90cm/{name}: {{value: {value}, source: my own, basis: measured}}"
        for name, value in values.items()
    ]
    return "\n".join(["own_values:", *lines])


def test_own_values_that_belong_together_fit_together():
    """Neither fits the library's other one alone; both at once do, and the brief has both."""
    bar = hung("led-bar-24w-90cm")
    for alone in (own(radiant_power="15 W"), own(heat_share_air="0.375"), own(dimmable="true")):
        ((rule, needed, _),) = problems(bar, alone)
        assert rule == "library.own-value"
        assert "fits the rest of lamps/led-bar-24w-90cm" in needed
    both = own(radiant_power="15 W", heat_share_air="0.375", dimmable="true", controllers="any")
    lamp = make_brief(read_plan_text(BOX.format(lamps=bar, own=both))).fixtures[0].lamp
    assert (lamp.radiant_power.value, lamp.heat_share_air.value) == (15.0, 0.375)
    assert (lamp.dimmable.value, lamp.controllers.value) == (True, "any")
