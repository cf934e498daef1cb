"""Survey files: read whole or refused whole, every slip with its line, rule and remedy."""

import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oracles.surveys import PLAN, SOUND, plan_with_stations
from sunfleck.document.problem import PlanError
from sunfleck.plan.read import read_plan_text
from sunfleck.plan.read_survey import place_of, read_survey, read_survey_bytes, read_survey_text
from sunfleck.plan.surveys import json_schema

# What is replaced in the sound survey, what by, the rule, a word that the problem must show.
BROKEN = [
    ("survey: 1 ", "survey: 2 ", "survey.format", "format 1"),
    ("survey: 1 ", "survey: true ", "survey.format", "format 1"),
    ("end: true", "end: t", "survey.cut-off", "end: true"),
    ("end: true", "end: 1", "survey.cut-off", "end: true"),
    ("end: true", "end: true\nnote: below", "survey.cut-off", "move `note`"),
    ("end: true", "#", "survey.cut-off", "cut off"),
    ("kind: dry", "kind: wet", "schema.choice", "dry, final, later"),
    ("date: 2026-11-26", "date: 26.11.2026", "schema.unit", "year-month-day"),
    ("by: A. Keeper\n", "", "schema.missing", "`by`"),
    ("room: 21 degC", "room: 21", "schema.unit", "21 degC"),
    ("room_humidity: 40 %", "room_humidity: 40", "schema.unit", "40 %"),
    ("room_humidity: 40 %", "room_humidity: 140 %", "schema.range", "100 %"),
    ("readings:", "reedings:", "schema.unknown-key", "`readings`"),
    ("mesh: lifted", "mesh: off", "schema.choice", "in place, lifted"),
    ("uvi: 2.4", "uvi: -1", "schema.range", "0 to 500"),
    ("surface: 35 degC", "surface: 35", "schema.unit", "35 degF"),
    ("[52 cm, 38 cm, 45 cm]", "[52 cm, 38 cm]", "schema.count", "3 values"),
    ("[52 cm, 38 cm, 45 cm]", "{x: 52 cm}", "schema.type", "text"),
    ("lit: [uv tube, basking lamp]", "lit: uv tube", "schema.type", "list"),
    ("accuracy: 0.5 K", "accuracy: 0.5", "schema.unit", "0.5 %"),
    ("accuracy: 0.5 K", "accuracy: 5 %", "survey.accuracy", "kelvin"),
    ("accuracy: 10 %", "accuracy: 1 K", "survey.accuracy", "percent"),
    ("offset: 0.3 K", "factor: 1.1", "survey.correction", "temperature"),
    ("factor: 0.95", "offset: 1 K", "survey.correction", "light"),
    (", salt_at: 21 degC", "", "survey.salt-check", "salt_at"),
    ("salt_at: 21 degC", "salt_at: 60 degC", "survey.salt-check", "0 to 50"),
    ("salt: sodium chloride", "salt: sodium chlorid", "schema.choice", "sodium chloride"),
    ("reads: [uvi, lux]", "reads: [uvi, air]", "survey.reads", "twice"),
    ("name: thin probe", "name: Club-Meter", "names.duplicate", "line 11"),
    ("with: club meter", "with: club metre", "survey.instrument", "club meter"),
    ("uvi: 2.4", "humidity: 55 %", "survey.not-read", "with: hygrometer"),
    ("uvi: 2.4, ", "", "survey.no-value", "uvi"),
    ("lit: [uv tube]", "lit: [uv tub]", "survey.fixture", "uv tube"),
    ("{uv tube: 1500 h}", "{uv tub: 1500 h}", "survey.fixture", "uv tube"),
    ("at: left branch", "at: Left-Branch", "survey.station", "left branch"),
    ("at: 1, uvi", "at: 2, uvi", "survey.station", "a point"),
    ("38 cm", "138 cm", "survey.place", "70 cm"),
]  # fmt: skip


def problems(text, plan=None):
    with pytest.raises(PlanError) as caught:
        read_survey_text(text, plan=plan or plan_with_stations())
    return caught.value.problems


@pytest.mark.parametrize(("old", "new", "rule", "word"), BROKEN)
def test_a_slip_is_found_where_it_is(old, new, rule, word):
    """One slip is one problem, in its line, with the limit or the remedy."""
    assert old in SOUND
    broken = SOUND.replace(old, new, 1)
    found = problems(broken)
    (problem,) = [p for p in found if p.rule == rule]
    # A renamed instrument is missed by its reading as well.
    assert len(found) == (2 if rule == "names.duplicate" else 1)
    assert word in f"{problem.needed} {problem.fix}"
    if rule != "schema.missing":
        assert problem.line == SOUND.count("\n", 0, SOUND.index(old)) + 1


def test_all_slips_are_told_at_once_in_order():
    """Across instruments, readings and the plan, in the order of the file."""
    text = SOUND
    for old, new, rule, _ in BROKEN:
        if rule in {"survey.accuracy", "survey.station", "survey.place", "survey.fixture"} and old in text:
            text = text.replace(old, new, 1)
    found = problems(text)
    assert len(found) >= 6
    assert [(p.line, p.column) for p in found] == sorted((p.line, p.column) for p in found)


def test_what_is_read():
    """SI units, names as written, what each reading stands for."""
    source = read_survey_text(SOUND, plan=plan_with_stations())
    survey, plan = source.survey, plan_with_stations().plan
    assert survey.room == pytest.approx(294.15)
    assert survey.lamp_hours == {"uv tube": 5.4e6}
    assert [reading.values for reading in survey.readings][1] == {"surface": pytest.approx(308.15)}
    assert place_of(survey.readings[0], plan) == ((0.45, 0.34, 1.41), "up")
    assert place_of(survey.readings[1], plan)[1] == "to the light"
    assert place_of(survey.readings[2], plan) == ((0.52, 0.38, 0.45), "up")
    assert source.lit(survey.readings[0], plan) == ("uv tube", "basking lamp")
    assert source.lit(survey.readings[2], plan) == ("uv tube",)
    everything = read_survey_text(SOUND.replace("lit: [uv tube, basking lamp]\n", ""))
    assert everything.lit(survey.readings[0], plan) == tuple(f.name for f in plan.fixtures)
    assert json_schema()["title"].endswith("format 1")


WHOLE = SOUND.encode()
DATA = read_survey_text(SOUND).document.data


def test_a_file_cut_at_any_byte_is_refused_whole_or_read_whole():
    """What is read of a beginning is all that the whole file says; anything less is refused with a way to mend it."""
    for line_end in (b"\n", b"\r\n"):
        whole = WHOLE.replace(b"\n", line_end)
        end = whole.index(b"end: true") + len(b"end: true")
        # Byte by byte; with the other line ends where it is decided.
        for length in range(0 if line_end == b"\n" else end - 60, len(whole) + 1):
            told, data = read_or_refused(whole[:length])
            if length < end:
                assert "survey.cut-off" in told
            else:
                assert data == DATA


def read_or_refused(content):
    """The rules that a file breaks, and what it says."""
    try:
        return set(), read_survey_bytes(content, Path("cut.yaml"), plan_with_stations()).document.data
    except PlanError as error:
        found = error.problems
    assert all(problem.line > 0 and problem.needed for problem in found)
    return {problem.rule for problem in found}, None


@settings(max_examples=60)
@given(text=st.text(max_size=200), at=st.integers(0, len(SOUND)))
def test_no_text_makes_a_traceback(text, at):
    """Anything put anywhere is read or refused."""
    told, data = read_or_refused((SOUND[:at] + text + SOUND[at:]).encode("utf-8", "surrogatepass"))
    assert told or data


def test_a_survey_that_is_not_there():
    """A problem with the command that lists surveys."""
    for path in ("none/survey.yaml", "a\0b"):
        with pytest.raises(PlanError, match="survey list"):
            read_survey(path)


STATIONS = [
    ("at: [45 cm, 34 cm, 141 cm]", "at: [45 cm, 34 cm, 171 cm]", "station.inside", "160 cm"),
    ("at: [20 cm, 30 cm, 133 cm]", "at: [20 cm, 30 cm, 5 cm]", "station.in-solid", "the ground"),
    ("name: left branch", "name: 1", "names.duplicate", "1 b"),
]


@pytest.mark.parametrize(("old", "new", "rule", "word"), STATIONS)
def test_stations_lie_where_a_meter_can_be_held(old, new, rule, word):
    """Inside, not within something, each with a name of its own."""
    assert old in PLAN
    with pytest.raises(PlanError) as caught:
        read_plan_text(PLAN.replace(old, new))
    (problem,) = caught.value.problems
    assert problem.rule == rule
    assert re.search(re.escape(word), f"{problem.needed} {problem.fix}")
