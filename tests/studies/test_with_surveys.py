"""Answers of a plan with its meter rounds: chains that close, spreads after the round, maps that change by it."""

from dataclasses import replace

import numpy as np
import pytest

from oracles.rounds import NAME, PLACES, WEAK
from sunfleck.outputs.words import report_text, trace_text
from sunfleck.studies import slices
from sunfleck.studies.interreflection import QUICK
from sunfleck.studies.map_change import change_of, marked
from sunfleck.studies.slices import maps_of

# A reading of one meter, 10 % off, leaves the lamp that well known; half of the range that holds nine of ten.
KNOWN = 1.645 * 0.10


def leaves(step):
    if not step.parts:
        yield step
    for part in step.parts:
        yield from leaves(part)


@pytest.fixture(scope="module")
def drawn(weak_round):
    """Maps before and after, coarse."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(slices, "MOST_ON_A_CUT", 150)
        before = maps_of(weak_round.base.brief, "uvi", weak_round.base.interior(QUICK))
        after = maps_of(weak_round.brief, "uvi", weak_round.interior(QUICK), like=before)
    return before, after


def test_every_chain_closes_and_names_the_round(weak_round):
    """Every number of the light with readings multiplies out to 1e-9; what they moved says by which round."""
    numbers = weak_round.report.numbers()
    assert len(numbers) > 50
    for number in numbers.values():
        trace = number.trace()
        assert trace.value == pytest.approx(number.value, rel=1e-9, abs=1e-300), number.id
        assert trace.closes(1e-9), number.id
    told = trace_text(numbers["uv-floor:the-basilisk.expected"], weak_round.used)
    words = " ".join(told.split())
    assert f"With the readings of {NAME}" in words
    assert f"moved by the meter round {NAME}" in words
    assert "multiplies out to one part" in words


def test_a_trace_tells_the_spread_that_readings_leave(weak_round):
    """Of each factor that was narrowed: not the spread from before, but that of the worlds left."""
    matrix = weak_round.brief.matrix
    steps = list(leaves(weak_round.report.numbers()["uv-floor:the-basilisk.expected"].trace()))
    moved = {leaf.where: leaf for leaf in steps if "moved by the meter round" in leaf.source}
    assert moved
    for column, factor in enumerate(matrix.factors):
        if factor.id not in moved:
            continue
        words = moved[factor.id].source
        assert "the readings leave" in words
        if not factor.shift:
            low, high = matrix.spread(column)
            assert f"{low:.2f} below, {high:.2f} above" in words
            # One standard deviation down and up of the rows themselves; 1,024 of them.
            rows = np.log(matrix.multipliers[:, column])
            least, middle, most = np.quantile(rows, (0.158655, 0.5, 0.841345))
            assert (low, high) == pytest.approx((middle - least, most - middle), rel=0.15, abs=0.003)
            assert max(low, high) < max(factor.spread_low, factor.spread_high)
    untouched = [leaf.source for leaf in steps if "spread (one" in leaf.source and leaf.where not in moved]
    assert not any("the readings leave" in source for source in untouched)


def test_the_head_says_which_surveys_are_in_it(weak_round, reports):
    """In words and in JSON; without surveys there is no such line."""
    report = weak_round.report
    assert f"With the readings of {NAME}: every range follows them" in report_text(report, "metric")
    assert report.to_dict()["surveys"] == [NAME]
    assert reports["tall"].to_dict()["surveys"] == []
    assert "With the readings" not in report_text(reports["tall"], "metric")
    assert "a newer round was read: old" in report_text(replace(report, too_old=("old",)), "metric")


def test_maps_change_by_what_the_lamp_lost(drawn):
    """The tube gives 0.7 of what the plan says; the maps say so within what one meter leaves open."""
    before, after = drawn
    change = change_of(before, after)
    assert [cut.at for cut in after.slices[:3]] == [cut.at for cut in before.slices[:3]]
    for cut in change.slices:
        middle = np.nanmedian(cut.expected)
        assert abs(np.log(middle / WEAK)) < KNOWN
    # A place that is not told before or after has no ratio.
    dark = replace(before.slices[0], expected=np.zeros_like(before.slices[0].expected))
    empty = change_of(replace(before, slices=(dark,), strips=()), replace(after, slices=(dark,), strips=()))
    assert np.isnan(empty.slices[0].expected).all()
    assert empty.ceiling is None


def test_readings_are_marked_on_the_cuts_that_pass_by(weak_round, drawn):
    """Within 5 cm, in the cut's own directions; none on what is seen through all depths, none of other lamps."""
    before, _ = drawn
    compared = weak_round.calibration.compared
    maps = marked(before, weak_round.brief, compared)
    axes = {"plan": 2, "front elevation": 1, "side elevation": 0}
    for cut in maps.slices:
        axis = axes.get(cut.view)
        near = [] if axis is None else [p for p in PLACES if abs(p[axis] - cut.at) <= 0.05]
        assert len(cut.marks) == len(near)
        for mark, place in zip(cut.marks, near, strict=True):
            assert mark.xy == pytest.approx([place[k] for k in range(3) if k != axis])
            assert mark.value == next(
                c.reading.value for c in compared if np.allclose(c.reading.point, place)
            )
    assert sum(len(cut.marks) for cut in maps.slices) >= 3
    other = [replace(c, reading=replace(c.reading, lit=("uv tube",))) for c in compared]
    assert not any(cut.marks for cut in marked(before, weak_round.brief, other).slices)
