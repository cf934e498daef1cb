"""What a fresh reviewer found wrong in the climate study: each was seen to fail, and is held here."""

import numpy as np
import pytest

from oracles.story_parts import room
from sunfleck.document.problem import PlanError
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import climate
from sunfleck.service.resolved import resolved
from sunfleck.studies.climate.model import climate_model
from sunfleck.studies.climate.seasons import month_of, seasons_of
from sunfleck.studies.interreflection import QUICK

BOX = """format: 1
name: reviewed
{site}enclosure:
  inside: {{width: 100 cm, depth: 50 cm, height: 60 cm}}
  walls: {{default: {{material: plywood-birch, thickness: 18 mm, finish: plywood-sealed}}}}
{openings}animals: [{{species: {species}, name: animal}}]
{rest}"""
SPOT = "  - {{name: {0}, lamp: halogen-reflector-75w-38deg, {1}, at: [{2} cm, 25 cm, 55 cm], aim: [{2} cm, 25 cm, 0 cm]}}\n"


def plan(rest="", *, site=None, openings="", species="Pogona vitticeps"):
    text = BOX.format(site=site or room(20, 28), openings=openings, species=species, rest=rest)
    return read_plan_text(text)


def verdict(report, question):
    return next(v for v in report.verdicts if v.id.startswith(f"{question}:"))


def test_winter_is_judged_in_its_own_hours():
    """Winter hours of 10:00-13:00: judged then, not in the afternoon when the lamp is off and the spot seems too cool."""
    lamps = "fixtures:\n" + SPOT.format(
        "spot", 'hours: ["08:00", "20:00"], winter_hours: ["10:00", "13:00"]', 40
    )
    report = climate(plan(lamps))
    winter, summer = (
        next(w.season for w in report.seasons if w.season.key == key) for key in ("winter", "summer")
    )
    assert np.array(report.model.hours(winter).day) / 3600 == pytest.approx((12.0, 13.0))
    assert np.array(report.model.hours(summer).day) / 3600 == pytest.approx((11.0, 20.0))
    spot = verdict(report, "basking-spot")
    apart = spot.number("summer_expected").value - spot.number("winter_expected").value
    assert apart < 14.0


def test_a_spot_is_judged_when_its_lamps_give_most():
    """A second lamp lit for an hour and a half is not averaged away over the day; its air is cooler than after nine hours."""
    one = SPOT.format("long", 'hours: ["08:30", "17:30"]', 40)
    two = SPOT.format("short", 'hours: ["12:00", "13:30"]', 52)
    both = SPOT.format("short", 'hours: ["08:30", "17:30"]', 52)
    brief, long = (climate(plan("fixtures:\n" + one + more)) for more in (two, both))
    for report in (brief, long):
        assert report.seasons[1].middle.level_most.tolist() == [1.0, 1.0]
    spots = [verdict(r, "basking-spot").number("summer_expected").value for r in (brief, long)]
    assert spots[0] == pytest.approx(spots[1], abs=6.0)


def test_lamps_that_are_never_off_are_judged_in_the_afternoon():
    """Not from 03:00 on, with the night's cool averaged in."""
    lamps = "fixtures:\n" + SPOT.format("spot", "level: 100 %", 40)
    model = climate_model(resolved(plan(lamps)).interior(QUICK))
    assert np.array(model.summer_hours.day) / 3600 == pytest.approx((12.0, 18.0))


def test_a_fan_can_stop():
    """What holds only while a fan runs is a failure of its own, and no fan runs in a power cut."""
    openings = (
        "  vents: [{name: low, face: left, at: [5 cm, 5 cm], size: [30 cm, 5 cm], mesh: aluminium-18x16}]\n"
        "  fans: [{name: fan, fan: fan-120mm, face: right, at: [10 cm, 45 cm]}]\n"
    )
    lamps = "fixtures:\n" + "".join(
        SPOT.format(f"spot {k}", 'hours: ["08:00", "20:00"]', 20 + 20 * k) for k in range(4)
    )
    report = climate(plan(lamps, openings=openings))
    stopped = next(o for o in report.failures["animal"] if o.failure.device == "a fan")
    running = report.seasons[1].middle.air_most.min()
    assert np.median(stopped.extreme) > running + 2.0


def test_what_it_lies_on_over_a_mat_is_judged():
    """By hand: 28 W over 0.148 m2 between 0.51 behind and a body over it; with its probe at the mat it holds."""
    mat = "fixtures:\n  - {{name: mat, lamp: heat-mat-28w, at: [30 cm, 25 cm, 1 cm], aim: [30 cm, 25 cm, 50 cm]{0}}}\n"
    burns = verdict(climate(plan(mat.format(""), species="Python regius")), "burns")
    assert burns.state == "over"
    assert "what it lies on over mat" in burns.sentence
    assert "thermostat" in burns.advice
    chain = burns.number("expected").trace()
    assert chain.closes()
    assert "electric heat of mat" in str(chain.to_dict())
    control = ", control: {kind: on-off, probe: [30 cm, 25 cm, 2 cm], target: 31 degC}"
    held = verdict(climate(plan(mat.format(control), species="Python regius")), "burns")
    assert held.state == "meets"
    assert held.number("expected").value < burns.number("expected").value - 5.0


def test_guards_lamps_and_sun_are_touched_too():
    """A bare bulb burns; bars before a tube stay cool; bars near a spot do not, and farther off they are cooler."""
    spot = (
        SPOT.format("spot", 'hours: ["08:00", "20:00"]TAIL', 40)
        .replace("75w", "35w")
        .replace("55 cm]", "45 cm]")
    )
    spot = spot.replace("TAIL, at", ", at").replace("}\n", "TAIL}\n")
    tube = "  - {name: tube, lamp: uv-t5-24w-reflector, from: [20 cm, 25 cm, 50 cm], to: [75 cm, 25 cm, 50 cm], guard: guard-bar-12mm}\n"
    found = {}
    for name, rest in (
        ("bare", spot.replace("TAIL", "")),
        ("near", spot.replace("TAIL", ", guard: guard-bar-12mm")),
        ("wide", spot.replace("TAIL", ", guard: guard-bar-12mm-wide")),
        ("tube", tube),
    ):
        burns = verdict(climate(plan("fixtures:\n" + rest, species="Correlophus ciliatus")), "burns")
        assert all(number.trace().closes() for number in burns.numbers)
        found[name] = burns
    assert "the glass of spot" in found["bare"].sentence
    assert "the guard of spot" in found["near"].sentence
    assert [found[name].state for name in ("bare", "near", "tube")] == ["over", "over", "meets"]
    expected = [found[name].number("expected").value for name in ("tube", "wide", "near", "bare")]
    assert expected == sorted(expected)
    assert "in a minute" in found["bare"].advice


def test_no_walk_to_coolness_where_no_place_is_cool_enough():
    """The two questions cannot contradict each other: a walk ends where the cool end is wanted."""
    lamps = "fixtures:\n" + SPOT.format("spot", 'hours: ["08:00", "20:00"]', 40)
    report = climate(plan(lamps, site=room(20, 33)))
    assert verdict(report, "cool-end").state == "over"
    assert verdict(report, "gradient").state == "over"


def test_the_sun_is_booked_as_the_suns():
    """In the heat balance, and in the chain of a temperature: not as more than the lamps give."""
    site = room(20, 28).replace(
        "site: {", "site: {latitude: 48, window: {azimuth: 180 deg, falls_on: front}, "
    )
    lamps = "fixtures:\n" + SPOT.format("spot", 'hours: ["08:00", "20:00"]', 40)
    text = BOX.format(site=site, openings="", species="Pogona vitticeps", rest=lamps)
    text = text.replace(
        "finish: plywood-sealed}",
        "finish: plywood-sealed}, front: {material: glass-float, thickness: 4 mm}",
        1,
    )
    report = climate(read_plan_text(text))
    summer = next(b for b in report.balances if b.key == "summer")
    assert summer.number("sun") > 20.0
    lost = sum(summer.number(name) for name in ("walls", "openings", "long_wave"))
    assert summer.number("kept") + summer.number("sun") == pytest.approx(lost + summer.number("stored"))
    chain = verdict(report, "cool-end").number("summer_expected").trace()
    assert chain.closes()
    assert "of the sun" in str(chain.to_dict())
    assert [w.season.key for w in report.seasons] == ["winter", "winter-sun", "summer"]
    burns = verdict(report, "burns")
    assert burns.state == "over"
    assert "in the sun of the window" in burns.sentence
    assert burns.number("expected").trace().closes()
    assert "curtain" in burns.advice


def test_an_animal_that_is_warm_already_needs_no_minutes():
    """Zero, not never: its mornings are warmer than what it prefers."""
    lamps = "fixtures:\n" + SPOT.format("spot", 'hours: ["08:00", "20:00"]', 40)
    body = verdict(climate(plan(lamps, site=room(36, 38))), "basking-body")
    assert body.number("summer_minutes").value == 0.0
    assert "warm enough in the morning" in body.sentence


def test_the_worst_season_is_the_one_farthest_off():
    """Of a summer and a hottest day that are both too warm the hottest is told first."""
    site = room(20, 28, 0, ", hottest: 36 degC")
    night = verdict(climate(plan(site=site)), "night")
    assert night.number("expected").value == night.number("hottest_expected").value


def test_winter_is_as_long_on_either_side_of_the_equator():
    """Rounding at the equinoxes gave the south six cold months and the north five."""
    cold = {}
    for latitude in (45, -45):
        site = room(18, 26).replace("site: {", f"site: {{latitude: {latitude}, ")
        brief = resolved(plan(site=site)).brief
        cold[latitude] = sum(month_of(brief, month).cold_half for month in range(12))
        assert {s.key: s.cold_half for s in seasons_of(brief)} == {"winter": True, "summer": False}
    assert cold[45] == cold[-45] == 5


def test_an_idle_thermostat_is_told():
    """A probe that never reads its target holds nothing."""
    control = (
        'hours: ["08:00", "20:00"], control: {kind: dimming, probe: [95 cm, 45 cm, 3 cm], target: 45 degC}'
    )
    report = climate(plan("fixtures:\n" + SPOT.format("spot", control, 40)))
    assert any("never turns it down" in words for words in report.words)


def test_a_power_cut_is_as_long_and_as_cold_as_the_plan_says():
    """At its end the room is as cold as written, an empty light box follows it; a longer cut in the same room is no warmer."""
    lamp = "fixtures:\n" + SPOT.format("spot", 'hours: ["08:00", "20:00"]', 40)

    def cut(words):
        site = room(20, 28).replace("site: {", f"site: {{power_cut: {words}, " if words else "site: {")
        return next(
            f for f in climate(plan(lamp, site=site)).failures["animal"] if f.failure.device == "the power"
        )

    usual, short, long, warm = (
        cut(words)
        for words in ("", "{lasts: 6 h, room: 8 degC}", "{lasts: 48 h, room: 8 degC}", "{lasts: 6 h}")
    )
    assert "gone for 12 h" in usual.failure.what
    assert "gone for 6 h from the evening, the room down to 8 degC" in short.failure.what
    assert "as warm as ever" in warm.failure.what
    # A wooden box follows its room within an hour or two; it is never colder than the room.
    assert 281.15 - 0.01 <= short.failure.air.min() < 284.15
    assert 281.15 - 0.01 <= long.failure.air.min() <= short.failure.air.min()
    assert warm.failure.air.min() > short.failure.air.min() + 5.0
    # It ends as it began: after the return the box comes back to its usual days.
    assert np.abs(short.failure.air[-1] - short.failure.unfailed[-1]).max() < 0.5


def test_a_cut_out_with_a_probe_of_its_own_outlives_a_fallen_probe():
    """The classic death is a probe on the cool floor: a cut-out that fell with it stays closed, one under the lamp opens."""

    def fallen(words):
        control = f"control: {{kind: dimming, probe: [40 cm, 25 cm, 20 cm], target: 34 degC, cut_out: 38 degC{words}}}"
        lamp = "fixtures:\n" + SPOT.format("spot", f'hours: ["08:00", "20:00"], {control}', 40)
        report = climate(plan(lamp.replace("75w", "150w"), site=room(20, 28)))
        return next(f.failure for f in report.failures["animal"] if "fallen" in f.failure.what)

    beside, own = fallen(""), fallen(", cut_out_probe: [40 cm, 25 cm, 20 cm]")
    assert own.air.max() < beside.air.max() - 2.0
    bad = "control: {kind: dimming, probe: [40 cm, 25 cm, 20 cm], target: 34 degC, cut_out_probe: [1 cm, 1 cm, 1 cm]}"
    wrong = "fixtures:\n" + SPOT.format("spot", f'hours: ["08:00", "20:00"], {bad}', 40)
    with pytest.raises(PlanError, match="cut_out"):
        plan(wrong)
