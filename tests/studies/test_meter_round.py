"""The meter round: hidden truths found, ranges that hold, slips named, worlds the model does not know.

The worlds are drawn from the factors themselves or from outside them; seeds are stated in the tests. Nothing here was read
in a real enclosure: that agreement between a model and itself is no accuracy is said in docs/physics.md.
"""

import json
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

import sunfleck
from oracles.hidden_truth import denser, reading, weakened, what_is_read
from sunfleck.brief.factors import multipliers_at
from sunfleck.outputs.meter_words import meter_text
from sunfleck.plan.likeness import print_of
from sunfleck.plan.read import read_plan_text
from sunfleck.plan.read_survey import read_survey_text
from sunfleck.service.meter_round import meter_round
from sunfleck.service.resolved import resolved
from sunfleck.service.starting import starter_text
from sunfleck.studies.day import fullest
from sunfleck.studies.interreflection import QUICK
from sunfleck.studies.meter.ageing import _of_this_tube, _Round
from sunfleck.studies.meter.calibration import calibrate
from sunfleck.studies.meter.light_predictions import LightPredictions
from sunfleck.studies.meter.report import doubts_of
from sunfleck.studies.meter.slips import slips_of
from sunfleck.studies.meter.warmth_predictions import WarmthPredictions
from sunfleck.studies.rule import chances
from sunfleck.studies.setting import setting_for

WORLDS, SEED = 100, 20261126
SIX, OTHERS = 6, 20
MESH, NOISE = 0.20, 0.10
EXAMPLES = ("tall-planted", "arid")


def without_evidence(text):
    """An example of which no lamp was ever read on its own: class spreads of 35 % and more."""
    kept, skipped = [], None
    for line in text.splitlines():
        indent = len(line) - len(line.lstrip())
        if skipped is not None and (indent > skipped or not line.strip()):
            continue
        skipped = indent if line.strip() == "evidence:" else None
        if skipped is None:
            kept.append(line)
    return "\n".join(kept) + "\n"


class Box:
    """One example, its six stations and twenty other places, and what a meter would read at them."""

    def __init__(self, example):
        ready = resolved(read_plan_text(without_evidence(starter_text(example))))
        brief, self.interior = ready.brief, ready.interior(QUICK)
        factors = tuple(
            replace(f, spread_low=MESH, spread_high=MESH) if f.id.startswith("medium:meshes") else f
            for f in brief.matrix.factors
        )
        self.brief = replace(brief, matrix=replace(brief.matrix, factors=factors))
        self.setting = setting_for(self.brief, self.brief.animals[0], fullest(self.brief), self.interior)
        resting = np.concatenate([self.setting.strip_receivers(k) for k in range(len(self.setting.strips))])
        bright = resting[self.setting.channel("uvi", "normal", all_lamps=True).middle[resting] > 0.3]
        rng = np.random.default_rng(SEED)
        self.points = self.setting.points[rng.choice(bright, SIX + OTHERS, replace=False)]
        self.lit = tuple(fixture.name for fixture in self.brief.fixtures)
        self.everywhere = LightPredictions(self.brief, self.interior, self.asked(range(SIX + OTHERS)))
        self.six = LightPredictions(self.brief, self.interior, self.asked(range(SIX)))

    def asked(self, which):
        # A meter whose own error is nothing, read with a scatter of 10 %: what the issue calls meter noise.
        return [
            reading(self.points[k], lit=self.lit, station=str(k), own=NOISE, shared=0.01, meter="new")
            for k in which
        ]

    def calibrated(self, logarithms):
        values = np.exp(logarithms)
        read = [replace(each, value=float(v)) for each, v in zip(self.six.readings, values, strict=True)]
        return calibrate(self.brief, self.interior, read, light=self.six)


@cache
def box(example):
    return Box(example)


@pytest.mark.parametrize("example", EXAMPLES)
def test_six_readings_tell_twenty_other_places(example):
    """Lamps of 35 %, meshes of 20 %, meter noise of 10 %: median error at most 6 %, ranges at least halved, coverage 85-95 %."""
    one = box(example)
    rng = np.random.default_rng(SEED)
    before = np.percentile(one.everywhere.logarithms(one.brief.matrix.normals)[:, SIX:], (5, 95), axis=0)
    errors, inside, widths = [], [], []
    for _ in range(WORLDS):
        truth = one.everywhere.logarithms(rng.standard_normal((1, len(one.brief.matrix.factors))))[0]
        found = one.calibrated(truth[:SIX] + NOISE * rng.standard_normal(SIX))
        after = read_anew(one, found.brief)[:, SIX:]
        low, middle, high = np.percentile(after, (5, 50, 95), axis=0)
        errors.append(np.abs(np.expm1(middle - truth[SIX:])))
        inside.append((truth[SIX:] >= low) & (truth[SIX:] <= high))
        widths.append((high - low) / (before[1] - before[0]))
    print(
        f"{example}: median error {np.median(errors):.3f}, coverage {np.mean(inside):.3f}, width {np.mean(widths):.2f}"
    )
    assert np.median(errors) <= 0.06
    assert 0.85 <= np.mean(inside) <= 0.95
    assert np.mean(widths) <= 0.5


def read_anew(one, brief):
    """Logarithms of what is read at all places in the worlds that readings leave."""
    matrix = brief.matrix
    known = len(one.brief.matrix.factors)
    contradict = np.log(matrix.multipliers[:, known:]).sum(axis=1, keepdims=True)
    return one.everywhere.logarithms(matrix.normals[:, :known]) + contradict


@pytest.mark.parametrize("example", EXAMPLES)
def test_worlds_that_the_model_does_not_know(example):
    """Beams 20 % wider, mesh over half of the top, one reading ten times too high: named in 95 of 100, few false ceilings.

    For each of nine fixed ceilings, from one that hardly any world keeps to one that nearly all do, at most 5 % of the worlds
    are said to keep it and do not. Readings under the open half are named too: they do not fit either.
    """
    one = box(example)
    rng = np.random.default_rng(SEED + 1)
    factors = one.brief.matrix.factors
    wider = np.array([0.20 / f.spread_high if f.group == "beam" else 0.0 for f in factors])
    reach, terms, coefficients = ceilings_of(one)
    uncovered = half_uncovered(one, one.points[:SIX]), half_uncovered(one, one.setting.points[reach])
    named, besides, judged, inside = 0, 0, [], []
    for _ in range(WORLDS):
        world = rng.standard_normal((1, len(factors))) + wider
        truth = one.six.logarithms(world)[0] + np.log(uncovered[0])
        slip = int(rng.integers(SIX))
        read = truth + NOISE * rng.standard_normal(SIX)
        found = one.calibrated(read)
        strongest = float((largest(world, factors, terms, coefficients) * uncovered[1]).max())
        expected = strongest_in(found.brief, terms, coefficients)
        judged.append((strongest, expected, "uv" in doubts_of(found, ())))
        inside.append(np.percentile(expected, 5) <= strongest <= np.percentile(expected, 95))
        read[slip] += np.log(10.0)
        odd = {each.reading.station for each in one.calibrated(read).odd}
        named += str(slip) in odd
        besides += bool(odd - {str(slip)})
    false, said = [], []
    for ceiling in np.percentile([strongest for strongest, *_ in judged], np.arange(10, 91, 10)):
        # As `check --surveys` says it: nothing is met that the readings leave in doubt.
        meets = [
            not doubted and chances(expected, safety_ceiling=float(ceiling)).state() == "meets"
            for _, expected, doubted in judged
        ]
        said.append(sum(meets))
        false.append(sum(m and strongest > ceiling for m, (strongest, *_) in zip(meets, judged, strict=True)))
    print(
        f"{example}: named {named}, others too {besides}; of {WORLDS} worlds said to meet {said}, falsely {false}; "
        f"coverage of the strongest {np.mean(inside):.2f}"
    )
    assert named >= 0.95 * WORLDS
    assert max(false) <= 0.05 * WORLDS


def ceilings_of(one):
    """The strongest places within reach, and the light there term by term."""
    field = one.setting.channel("uvi", "brightest", all_lamps=True)
    reach = one.setting.everywhere
    reach = reach[~np.isnan(field.middle[reach])]
    reach = reach[np.argsort(-field.middle[reach])[:100]]
    return reach, field.terms, np.nan_to_num(field.coefficients(reach))


def strongest_in(brief, terms, coefficients):
    """The strongest light within reach in every fourth world of a brief that readings moved."""
    matrix = brief.matrix
    found = largest(matrix.normals[::4], matrix.factors, terms, coefficients).max(axis=1)
    contradict = [k for k, factor in enumerate(matrix.factors) if factor.id == "misfit:uvi"]
    return found * matrix.multipliers[::4, contradict].prod(axis=1)


def largest(worlds, factors, terms, coefficients):
    multipliers = multipliers_at(factors, worlds)
    shares = [np.prod([multipliers[:, p.column] ** p.exponent for p in t.factors], axis=0) for t in terms]
    return np.stack(shares, axis=1) @ coefficients


def half_uncovered(one, points):
    """How much more light there is where the mesh lies over the right half of the top only."""
    meshes = [m for sheet in one.brief.sheets if (m := sheet.medium).id.startswith("meshes/")]
    if not meshes or one.brief.plan.fixtures[0].guard is not None:
        return np.ones(len(points))
    through = meshes[0].transmittance["uvi"].value
    left = points[:, 0] < one.brief.plan.enclosure.inside.width / 2
    return np.where(left & (example_has_mesh_top(one)), 1.0 / through, 1.0)


def example_has_mesh_top(one):
    return any(vent.face == "top" and vent.mesh is not None for vent in one.brief.plan.enclosure.vents)


@pytest.mark.parametrize(("example", "lifted"), [("tall-planted", True), ("arid", False)])
def test_a_weak_lamp_and_a_dense_mesh_are_found_from_six_readings(tall, arid, example, lifted):
    """One lamp 30 % weak, the mesh 15 % denser than stated; the plan has its own readings of the lamp as it was."""
    ready = resolved(tall if example == "tall-planted" else arid)
    brief, interior = ready.brief, ready.interior(QUICK)
    lit = tuple(fixture.name for fixture in brief.fixtures)
    # Where `sunfleck stations` proposes, and as `sunfleck calibrate` says it is told apart: with one lamp, without mesh.
    places = {
        "tall-planted": [[59.0, 34.5, 145.0], [83.0, 37.0, 145.0], [51.0, 34.0, 145.0], [107.5, 23.0, 94.0], [59.0, 34.5, 145.0], [83.0, 37.0, 145.0]],
        "arid": [[51, 13.5, 14.5], [113, 26.5, 30.5], [56.5, 49.5, 19.5], [121, 54.5, 22.5], [51, 13.5, 14.5], [113, 26.5, 30.5]],
    }[example]  # fmt: skip
    asked = []
    for k, place in enumerate(places):
        alone = () if k < 4 else (lit[0],) if k == 4 and not lifted else (lit[1],) if not lifted else ()
        asked.append(
            reading(
                np.array(place) / 100, lit=alone or lit, station=str(k), shared=0.05, lifted=lifted and k >= 4
            )
        )
    truth = denser(weakened(brief, 0, 0.7), 0.85)
    read = what_is_read(truth, interior, asked, np.random.default_rng(SEED), noise=0.05)
    found = calibrate(brief, interior, read)
    by_id = {each.thing.id: each for each in found.learned}
    lamp = by_id["lamp:0:uvi"]
    assert lamp.low <= 0.70 <= lamp.high
    assert lamp.expected == pytest.approx(0.70, abs=0.08)
    assert lamp.high < 0.9
    others = [each for id_, each in by_id.items() if id_.startswith("lamp:1:uvi")]
    assert all(each.expected > 0.9 for each in others)
    if lifted:
        mesh = next(each for id_, each in by_id.items() if id_.startswith("medium:meshes"))
        assert mesh.low <= 0.85 <= mesh.high
        assert mesh.high < 1.0
        assert not found.tied


def test_slips_are_named_and_asked_about(arid):
    """A decimal point, and a reading taken at another station: asked about with what it would then be, kept as read."""
    ready = resolved(arid)
    brief, interior = ready.brief, ready.interior(QUICK)
    lit = tuple(fixture.name for fixture in brief.fixtures)
    places = [[51, 13.5, 14.5], [113, 26.5, 30.5], [56.5, 49.5, 19.5], [121, 54.5, 22.5], [13, 53, 26.5]]
    asked = [reading(np.array(p) / 100, lit=lit, station=str(k)) for k, p in enumerate(places)]
    read = what_is_read(brief, interior, asked, np.random.default_rng(SEED), noise=0.03)
    read[2] = replace(read[2], value=10.0 * read[2].value)
    found = calibrate(brief, interior, read)
    assert [each.reading.station for each in found.odd] == ["2"]
    slips = slips_of(found.odd[0], found.compared, "metric")
    assert slips[0].kind == "decimal point"
    assert slips[0].instead == pytest.approx(read[2].value / 10.0)
    assert found.compared[2].reading.value == read[2].value


def test_what_cannot_be_used_is_kept_and_says_why(arid):
    """Inside something solid, no light of that kind, humidity, air with lamps just on, no reading at all."""
    ready = resolved(arid)
    brief, interior = ready.brief, ready.interior(QUICK)
    lit = tuple(fixture.name for fixture in brief.fixtures)
    read = [
        reading([0.5, 0.3, 0.02], lit=lit),
        reading([0.51, 0.135, 0.145], lit=()),
        reading([0.51, 0.135, 0.145], "humidity", 0.5, lit=lit),
    ]
    found = calibrate(brief, interior, read)
    assert all(each.left_out for each in found.compared)
    assert not found.learned
    assert np.array_equal(found.brief.heat.normals, brief.heat.normals)
    assert calibrate(brief, interior, []).compared == ()


def test_thermometers_move_heat_and_leave_light(arid):
    """Air 1 K warmer than expected at two heights: the air that is expected follows, by less; the light stays as it was."""
    ready = resolved(arid)
    brief, interior = ready.brief, ready.interior(QUICK)
    lit = tuple(fixture.name for fixture in brief.fixtures)
    places = [[0.13, 0.53, 0.265], [0.51, 0.135, 0.145]]
    read = [
        reading(p, "air", 300.0, lit=lit, station=str(k), own=0.5, shared=0.3, meter="probe")
        for k, p in enumerate(places)
    ]
    warmth = WarmthPredictions(brief, interior, read)
    rest = np.zeros((1, len(brief.matrix.factors))), np.zeros((1, len(brief.heat.factors)))
    expected = warmth.kelvin(read, *rest)[0]
    warmer = [replace(each, value=float(v) + 1.0) for each, v in zip(read, expected, strict=True)]
    found = calibrate(brief, interior, warmer, WarmthPredictions(brief, interior, warmer))
    moved = np.array([each.after - each.before for each in found.compared])
    assert (moved > 0.3).all()
    assert (moved < 1.0).all()
    assert np.array_equal(found.brief.matrix.normals[:, :4], brief.matrix.normals[:, :4])
    # In a room that was not read, or with lamps just on, a thermometer tells nothing of the box.
    for each in (replace(warmer[0], room=None), replace(warmer[0], burned=600.0)):
        other = calibrate(brief, interior, [each], WarmthPredictions(brief, interior, [each]))
        assert other.compared[0].left_out
        assert np.array_equal(other.brief.heat.normals, brief.heat.normals)


SURVEY = """survey: 1
date: {date}
kind: {kind}
by: A. Keeper
room: 21 degC
warm_up: 4 h
lamp_hours: {{{hours}}}
instruments: [{{name: round meter, reads: [uvi], accuracy: 3 %}}]
readings: [{readings}]
held: [{{what: lock, by: A. Keeper, date: {date}}}]
end: true
"""
PLACES = ([0.51, 0.135, 0.145], [1.13, 0.265, 0.305], [0.565, 0.495, 0.195], [1.21, 0.545, 0.225])


def surveyed(source, date, hours, share, kind="later", slip=1.0):
    """A survey of the arid example whose lamps all give a share of what is expected; the first reading may be a slip."""
    ready = resolved(source)
    lit = tuple(fixture.name for fixture in ready.brief.fixtures)
    asked = [reading(p, lit=lit) for p in PLACES]
    values = share * LightPredictions(ready.brief, ready.interior(QUICK), asked).expected
    values[0] *= slip
    readings = ", ".join(
        f"{{at: [{', '.join(f'{100 * x:.1f} cm' for x in p)}], uvi: {v:.3f}, with: round meter}}"
        for p, v in zip(PLACES, values, strict=True)
    )
    lamps = ", ".join(f"{name}: {hours} h" for name in lit if "uv" in name)
    text = SURVEY.format(date=date, kind=kind, hours=lamps, readings=readings)
    return read_survey_text(text, f"{date}-{kind}.yaml", source)


def test_lamps_fade_from_round_to_round_and_the_floor_has_a_date(arid):
    """Three rounds that lose 4.5 % in each 1,000 h: the rate is found, and the day when the floor is missed lies ahead."""
    rounds = [
        surveyed(arid, date, hours, 0.955 ** (hours / 1000.0))
        for date, hours in (("2026-01-10", 100), ("2026-06-10", 1600), ("2026-11-10", 3100))
    ]
    report = meter_round(arid, rounds)
    assert report.surveys == ("2026-11-10-later",)
    assert report.too_old == ("2026-01-10-later", "2026-06-10-later")
    for lamp in report.lamps:
        assert lamp.hours == (100.0, 1600.0, 3100.0)
        assert lamp.per_hundred == pytest.approx(0.0046, abs=0.0015)
    due = report.due[0]
    assert not due.missed
    assert "2026-11-10" <= due.earliest < due.expected < due.latest
    assert [point.done for point in report.hold_points].count(True) == 1
    assert "2026-11-10" in meter_text(report, "metric")


def test_a_doubtful_reading_keeps_a_ceiling_from_being_met(arid):
    """Four readings that agree settle the ceiling; one of them ten times too high takes that back until it is read again."""
    slipped = meter_round(arid, [surveyed(arid, "2026-11-10", 100, 0.9, "dry", 10.0)])
    rounds = [surveyed(arid, "2026-11-10", 100, 0.9, "dry")]
    sure = meter_round(arid, rounds)
    before, after = (
        next(v for v in report.report.verdicts if v.id.startswith("uv-ceiling")) for report in (sure, slipped)
    )
    assert before.state == "meets"
    assert after.state == "unknown"
    assert "cannot be right" in after.sentence
    assert sure.exit_code == slipped.exit_code == 1  # the room in summer is too hot for it either way
    plain = json.loads(json.dumps(slipped.to_dict()))
    assert plain["readings"][0]["cannot_be_right"]
    assert (
        plain["readings"][0]["station"] == "x 51 cm, y 13.5 cm, z 14.5 cm"
    )  # as it was written, not rounded
    assert any("decimal point" in question for question in plain["readings"][0]["questions"])
    # `check` and `light_at` take the same readings.
    assert sunfleck.check(arid, rounds) is sure.report
    light = [sunfleck.light_at(arid, PLACES[:1], surveys=each) for each in (rounds, ())]
    widths = [float(np.log(each.uvi.high / each.uvi.low)[0]) for each in light]
    assert widths[0] < 0.6 * widths[1]


def used(found):
    return [not each.left_out for each in found.compared]


def test_a_meter_on_a_surface_still_counts(arid):
    """3 mm above the slab one neighbour is inside it: the hand's error is that of the free side, and the reading counts."""
    ready = resolved(arid)
    brief, interior = ready.brief, ready.interior(QUICK)
    setting = setting_for(brief, brief.animals[0], fullest(brief), interior)
    receivers = np.concatenate([setting.strip_receivers(k) for k in range(len(setting.strips))])
    bright = receivers[np.nanargmax(setting.channel("uvi", "normal", all_lamps=True).middle[receivers])]
    lit = tuple(fixture.name for fixture in brief.fixtures)
    above = setting.points[bright]
    lower = next(
        h for h in np.arange(0.0, 0.06, 0.001) if brief.surroundings.solid_at((above - [0, 0, h])[None, :])[0]
    )
    near = above - [0.0, 0.0, lower - 0.003]
    predictions = LightPredictions(brief, interior, [reading(near, lit=lit), reading(above, lit=lit)])
    assert predictions.hand.max() < 0.1
    high = [
        reading(near, value=2.5 * float(predictions.expected[0]), lit=lit, station=str(k)) for k in range(4)
    ]
    found = calibrate(brief, interior, high)
    assert found.compared[0].after > 1.5 * found.compared[0].before
    assert found.beyond or found.odd


def test_light_of_a_lamp_that_a_thermostat_turns_down_is_not_used(arid):
    """Brightness under floods on a thermostat: nobody knows their level, until the survey says it."""
    ready = resolved(arid)
    brief, interior = ready.brief, ready.interior(QUICK)
    lit = tuple(fixture.name for fixture in brief.fixtures)
    driven = [f.name for f in brief.fixtures if f.fixture.control is not None]
    one = reading([0.54, 0.50, 0.21], "lux", 3000.0, lit=lit)
    stated = replace(one, levels=tuple((name, 1.0) for name in driven))
    assert used(calibrate(brief, interior, [one, stated, replace(stated, burned=60.0)])) == [
        False,
        True,
        False,
    ]


def test_a_lamp_is_found_changed_only_if_it_was_read(arid):
    """A round of humidity leaves every range of light as it was, bit for bit."""
    ready = resolved(arid)
    lit = tuple(fixture.name for fixture in ready.brief.fixtures)
    one = reading([0.51, 0.135, 0.145], "humidity", 0.5, lit=lit)
    found = calibrate(ready.brief, ready.interior(QUICK), [one])
    assert np.array_equal(found.brief.matrix.multipliers, ready.brief.matrix.multipliers)


def test_a_plan_that_was_changed_since_is_not_met(arid):
    """Its readings are of another box: what would be met is not known until it is read again."""
    one = surveyed(arid, "2026-11-10", 100, 0.9, "dry")
    stale = replace(one, survey=one.survey.model_copy(update={"box": "0123456789ab"}))
    fresh = replace(one, survey=one.survey.model_copy(update={"box": print_of(arid.plan)}))
    before, after = (
        {v.id: v.state for v in sunfleck.check(arid, [each]).verdicts if v.id.startswith("uv-")}
        for each in (fresh, stale)
    )
    assert "meets" in before.values()
    assert "meets" not in after.values()


def test_the_newest_round_counts():
    """Of light in November what July said is not asked; a tube whose hours fell is another tube."""
    rounds = [_round(3000.0), _round(10.0), _round(600.0)]
    assert [each.hours for each in _of_this_tube(rounds)] == [10.0, 600.0]


def _round(hours):
    return _Round(hours, None, {})
