"""The remedies for a door or vent that does not fit are accepted when they are pasted in."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.document.problem import PlanError
from sunfleck.plan.read import read_plan_text
from sunfleck.service.starting import starter_text

ARID = starter_text("arid")
DOORS = re.compile(r"(?<=  doors:\n)(?:    - .*\n)+")
RULES = {"geometry.opening-on-face", "geometry.openings-overlap"}


def plan(*doors, units="metric"):
    """Return the arid box (its front is 160 x 100 cm) with other doors; each is (at, size) as text."""
    lines = [
        f"    - {{name: door {i}, face: front, kind: hinged, at: [{at}], size: [{size}]}}\n"
        for i, (at, size) in enumerate(doors)
    ]
    text = DOORS.sub("".join(lines), ARID)
    return text.replace("show_units: metric", f"show_units: {units}")


def found(text):
    try:
        read_plan_text(text)
    except PlanError as error:
        problems = error.problems
    else:
        return []
    # Rules across fields are only reached where nothing else is wrong with the doors.
    assert not [p for p in problems if p.rule.startswith(("schema.", "yaml."))], problems
    return [problem for problem in problems if problem.rule in RULES]


def pasted(text, problem, remedy):
    """Return the text with a remedy in the place of what it is for."""
    line = text.split("\n")[problem.line - 1]
    if ": [" in remedy:
        new = line
        for key, value in re.findall(r"(at|size): (\[[^]]*\])", remedy):
            new = re.sub(rf"\b{key}: \[[^]]*\]", f"{key}: {value}", new)
    else:
        assert line[problem.column - 1 :].startswith(problem.wrote)
        new = line[: problem.column - 1] + remedy + line[problem.column - 1 + len(problem.wrote) :]
    assert new != line
    return text.replace(line, new, 1)


LEFT = ("0 cm, 15 cm", "80 cm, 78 cm")


@pytest.mark.parametrize(
    ("doors", "fix"),
    [
        # Alone on the face it can be moved or narrowed; beside another door only narrowed.
        ([("80 cm, 15 cm", "90 cm, 78 cm")], "at: [70 cm, 15 cm] or size: [80 cm, 78 cm]"),
        ([LEFT, ("80 cm, 15 cm", "90 cm, 78 cm")], "80 cm"),
        # The place left of the other door is too small, the one right of it is where it already is.
        ([("20 cm, 15 cm", "40 cm, 78 cm"), ("70 cm, 15 cm", "100 cm, 78 cm")],
         "at: [60 cm, 15 cm] or size: [90 cm, 78 cm]"),
        # What is left where it stands is too little to be a door.
        ([("150 cm, 15 cm", "60 cm, 78 cm")], "100 cm"),
        ([("-5 cm, 15 cm", "60 cm, 78 cm")], "0 cm"),
        # Wider than the face: what is left beside the other doors.
        ([("0 cm, 15 cm", "190 cm, 78 cm")], "160 cm"),
        ([LEFT, ("80 cm, 15 cm", "190 cm, 78 cm")], "80 cm"),
        ([LEFT, ("0 cm, 15 cm", "190 cm, 78 cm")], "at: [80 cm, 15 cm], size: [80 cm, 78 cm]"),
        ([("0 cm, 15 cm", "190 cm, 78 cm"), ("100 cm, 15 cm", "60 cm, 78 cm")], "100 cm"),
        # Higher than the face: what is left above where it begins.
        ([("0 cm, 15 cm", "80 cm, 110 cm")], "85 cm"),
        # One over another.
        ([LEFT, ("70 cm, 15 cm", "60 cm, 78 cm")], "at: [80 cm, 15 cm]"),
        ([LEFT, ("70 cm, 15 cm", "90 cm, 78 cm")], "at: [80 cm, 15 cm], size: [80 cm, 78 cm]"),
        ([("0 cm, 15 cm", "160 cm, 78 cm"), ("0 cm, 15 cm", "160 cm, 80 cm")], None),
    ],
)  # fmt: skip
def test_remedies_of_doors(doors, fix):
    """Moving and narrowing are offered, never onto another opening; each remedy pasted in is accepted."""
    text = plan(*doors)
    (problem,) = found(text)
    assert problem.fix == fix
    for remedy in fix.split(" or ") if fix else ():
        assert found(pasted(text, problem, remedy)) == []


def test_a_door_too_wide_for_its_place_shows_its_own_width():
    """The place in the file is the number that the remedy replaces."""
    (problem,) = found(plan(LEFT, ("80 cm, 15 cm", "90 cm, 78 cm")))
    assert problem.wrote == "90 cm"
    assert problem.where.startswith("enclosure.doors[1].size[0]")
    assert "at most 80 cm from where it begins" in problem.needed


lengths = st.integers(-100, 2000).map(lambda tenths: tenths / 10)
sizes = st.integers(10, 2000).map(lambda tenths: tenths / 10)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(lengths, lengths, sizes, sizes), min_size=1, max_size=3),
    st.sampled_from(["metric", "us"]),
)
def test_no_remedy_makes_new_problems(doors, units):
    """Whatever the doors: the remedy of a problem takes that problem away and puts the door on no other one."""
    text = plan(*[(f"{x} cm, {z} cm", f"{w} cm, {h} cm") for x, z, w, h in doors], units=units)
    problems = found(text)
    for problem in problems:
        for remedy in problem.fix.split(" or ") if problem.fix else ():
            after = found(pasted(text, problem, remedy))
            assert len(after) <= len(problems)
            if len(doors) == 1:
                assert len(after) < len(problems)
            assert (problem.rule, problem.where, problem.fix) not in {(p.rule, p.where, p.fix) for p in after}
