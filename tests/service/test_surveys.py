"""Readings entered into surveys: nothing is lost, nothing else is touched, slips are asked about."""

import json
import os
import subprocess
import sys

import pytest

from oracles.entering import EACH, THREADS, enter_many
from oracles.surveys import PLAN, SOUND, plan_with_stations
from sunfleck.document.problem import EntryError, PlanError
from sunfleck.errors import SurveyError
from sunfleck.plan.read_survey import read_survey
from sunfleck.service import keeping, survey_writing
from sunfleck.service.survey_slips import slips_in
from sunfleck.service.surveys import (
    add_instrument,
    add_readings,
    corrections_of,
    find_survey,
    new_survey,
    read_surveys,
    survey_files,
    take_in,
)

GOOD = {"at": "1", "uvi": "2.40", "with": "club meter", "note": "warm, bright: x # y", "time": "9:05"}


@pytest.fixture
def folder(tmp_path):
    """A plan with one sound survey."""
    (tmp_path / "plan.yaml").write_text(PLAN, encoding="utf-8")
    (tmp_path / "surveys").mkdir()
    (tmp_path / "surveys" / "2026-11-26-dry.yaml").write_bytes(SOUND.encode())
    return tmp_path


@pytest.fixture
def survey(folder):
    return folder / "surveys" / "2026-11-26-dry.yaml"


def test_what_is_entered_reads_back_and_the_rest_stays(survey):
    """A station, a point, text with signs of YAML: below the others, every other byte as it was."""
    point = {
        "at": "52 cm, 38 cm, 45 cm",
        "surface": "95 degF",
        "with": "thin probe",
        "lit": "none",
        "mesh": "lifted",
    }
    done = add_readings(survey, [GOOD, point], plan_with_stations())
    assert (done.taken, done.waiting, done.file) == (2, 0, survey)
    text = survey.read_bytes().decode()
    before = SOUND.index("  # a line that a keeper left")
    assert text.startswith(SOUND[:before])
    assert text.endswith(SOUND[before:])
    new = text[before : len(text) - len(SOUND) + before]
    assert [line[:5] for line in new.splitlines()] == ["  - {", "  - {"]
    assert "uvi: 2.40" in new
    first, second = read_survey(survey, plan_with_stations()).survey.readings[-2:]
    assert (first.at, first.values, first.note, first.time) == ("1", {"uvi": 2.4}, GOOD["note"], 32_700.0)
    assert second.at == (0.52, 0.38, 0.45)
    assert (second.lit, second.mesh, second.values) == ((), "lifted", {"surface": pytest.approx(308.15)})


WRONG = [
    ({"at": "1", "uvi": "2,4", "with": "club meter"}, "schema.number", "2.4"),
    ({"at": "1", "surface": "35", "with": "thin probe"}, "schema.unit", "35 degC"),
    ({"at": "1", "with": "club meter"}, "survey.no-value", "uvi"),
    ({"at": "1", "uvi": "2.4"}, "schema.missing", "`with`"),
    ({"at": "1", "uvi": "2.4", "with": "club metre"}, "survey.instrument", "club meter"),
    ({"at": "1", "air": "25 degC", "with": "club meter"}, "survey.not-read", "thin probe"),
    ({"at": "left brnch", "uvi": "2.4", "with": "club meter"}, "survey.station", "left branch"),
    ({"at": "1 cm, 2 cm", "uvi": "2.4", "with": "club meter"}, "schema.count", "3 values"),
    ({"at": "1 cm, 2 cm, 9 m", "uvi": "2.4", "with": "club meter"}, "survey.place", "160 cm"),
    ({"at": "1", "uvi": "2.4", "with": "club meter", "lit": "uv tub"}, "survey.fixture", "uv tube"),
    ({"at": "1", "uvy": "2.4", "with": "club meter"}, "schema.unknown-key", "uvi: 2.4"),
    ({"at": "1", "uvi": "\ud800", "with": "club meter"}, "yaml.encoding", "character"),
    ({"at": "1", "uvi": "2.4", "with": "club meter", "note": "x" * 600_000}, "yaml.too-large", "512"),
]  # fmt: skip


@pytest.mark.parametrize(("fields", "rule", "word"), WRONG)
def test_what_is_wrong_is_told_and_nothing_is_entered(survey, fields, rule, word):
    """All entries of one go stay out; each problem is at the entry, in the words that were typed."""
    with pytest.raises(EntryError, match="nothing was entered") as caught:
        add_readings(survey, [GOOD, fields], plan_with_stations())
    found = [p for p in caught.value.problems if p.rule == rule]
    assert found
    assert word in f"{found[0].needed} {found[0].fix}"
    assert found[0].file == "entry"
    assert found[0].line == (1 if rule == "yaml.too-large" else 2)
    assert survey.read_bytes() == SOUND.encode()
    if rule != "yaml.too-large":
        typed = [json.loads(line) for line in (survey.parent / ".entered.jsonl").read_text().splitlines()]
        assert typed[-1]["typed"] == fields


def test_an_older_fault_against_the_plan_does_not_stop_an_entry(survey):
    """A station that the plan has renamed meanwhile is told by `show`, not to whoever enters something else."""
    survey.write_text(SOUND.replace("at: left branch", "at: old branch"), encoding="utf-8")
    assert add_readings(survey, [GOOD], plan_with_stations()).taken == 1


@pytest.mark.parametrize(
    "broken",
    [SOUND[:-60], SOUND.replace("kind: dry", "kind: [dry"), SOUND.replace("dry", "wet", 1), "", None],
)
def test_entries_wait_while_the_file_is_broken(survey, broken):
    """Kept beside it, told why, taken in in their order by the next command, once each."""
    if broken is None:
        survey.unlink()
    else:
        survey.write_text(broken, encoding="utf-8")
    second = {"at": "left branch", "air": "24 degC", "with": "thin probe"}
    done = add_readings(survey, [GOOD], plan_with_stations())
    assert (done.taken, done.waiting) == (0, 1)
    assert done.why
    assert add_readings(survey, [second]).waiting == 2
    with pytest.raises(EntryError):
        add_readings(survey, [{"at": "1", "uvi": "2,4", "with": "club meter"}])
    if broken is not None:
        assert survey.read_text(encoding="utf-8") == broken
    assert take_in(survey, plan_with_stations()).taken == 0
    survey.write_text(SOUND, encoding="utf-8")
    done = add_readings(survey, [{**GOOD, "note": "third"}], plan_with_stations())
    assert (done.taken, done.waiting) == (3, 0)
    assert [r.note for r in read_survey(survey).survey.readings[-3:]] == [GOOD["note"], None, "third"]
    assert not list(survey.parent.glob("*.waiting.jsonl"))
    assert take_in(survey).taken == 0


def test_what_does_not_fit_after_mending_goes_on_waiting(survey):
    """An unknown meter, a line that is no entry: kept and told; what fits is taken."""
    survey.write_text("", encoding="utf-8")
    add_readings(survey, [{"at": "1", "uvi": "1", "with": "borrowed meter"}, GOOD])
    waiting = survey_writing.waiting_file(survey)
    with waiting.open("a", encoding="utf-8") as stream:
        stream.write('{"at": "1", "uv')
    survey.write_text(SOUND, encoding="utf-8")
    done = take_in(survey, plan_with_stations())
    assert (done.taken, done.waiting) == (1, 2)
    assert [p.rule for p in done.why] == ["survey.instrument"]
    assert add_instrument(survey, {"name": "borrowed meter", "reads": "uvi", "accuracy": "20 %"}).taken == 2
    assert waiting.read_text(encoding="utf-8") == '{"at": "1", "uv\n'


def test_a_file_that_cannot_be_written_keeps_entries_waiting(survey, monkeypatch):
    """An editor that holds the file, a full disk: beside it there may be room; where there is none that is said."""

    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(survey_writing, "write_whole", full)
    done = add_readings(survey, [GOOD])
    assert (done.taken, done.waiting, done.why[0].rule) == (0, 1, "file.unwritable")
    assert survey.read_bytes() == SOUND.encode()
    monkeypatch.setattr(survey_writing, "add_lines", full)
    with pytest.raises(SurveyError, match="No space left"):
        add_readings(survey, [GOOD])


def test_what_an_editor_saves_meanwhile_is_not_written_over(survey, monkeypatch):
    """An editor knows no lock; the entry goes below what it saved. One that saves all the time makes it wait."""
    append, saves = survey_writing.append_entries, iter(range(9))

    def saved_meanwhile(*arguments):
        survey.write_text(SOUND.replace("21 degC", f"{next(saves)} degC", 1), encoding="utf-8")
        monkeypatch.setattr(survey_writing, "append_entries", append)
        return append(*arguments)

    monkeypatch.setattr(survey_writing, "append_entries", saved_meanwhile)
    assert add_readings(survey, [GOOD]).taken == 1
    assert read_survey(survey).survey.room == pytest.approx(273.15)
    assert len(read_survey(survey).survey.readings) == 4

    def saved_again(*arguments):
        survey.write_text(SOUND.replace("21 degC", f"{next(saves)} degC", 1), encoding="utf-8")
        return append(*arguments)

    monkeypatch.setattr(survey_writing, "append_entries", saved_again)
    assert add_readings(survey, [GOOD]).why[0].rule == "file.unwritable"


def test_a_survey_within_braces_keeps_entries_waiting(survey):
    """Nothing can be added to it in place."""
    survey.write_text("{survey: 1, date: 2026-11-26, kind: dry, by: A, end: true}", encoding="utf-8")
    done = add_readings(survey, [GOOD])
    assert (done.waiting, done.why[0].rule) == (1, "survey.no-place")
    with pytest.raises(EntryError, match="no-place"):
        add_instrument(survey, {"name": "m", "reads": "uvi", "accuracy": "20 %"})


def test_a_write_that_dies_leaves_the_file_as_it_was(survey, monkeypatch):
    """No half file, no litter beside it."""

    def die(_):
        raise KeyboardInterrupt

    monkeypatch.setattr(keeping.os, "fsync", die)
    with pytest.raises(KeyboardInterrupt):
        keeping.write_whole(survey, b"half")
    assert survey.read_bytes() == SOUND.encode()
    assert [file.name for file in survey.parent.iterdir()] == [survey.name]


def test_who_waits_too_long_is_told(survey, monkeypatch):
    """Another writer that does not let go is no reason to hang; what was typed is in the journal."""
    monkeypatch.setattr(keeping, "PATIENCE", 0.05)
    with keeping.locked(survey.parent), pytest.raises(SurveyError, match="try again"):
        add_readings(survey, [GOOD])
    assert "club meter" in (survey.parent / ".entered.jsonl").read_text()


def test_two_processes_with_two_threads_lose_nothing(survey):
    """Each of a hundred readings stands in the file once, in the order in which its thread entered it."""
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
    command = [sys.executable, "-m", "oracles.entering", str(survey), "other"]
    with subprocess.Popen(command, env=environment) as other:
        enter_many(survey, "own")
    assert other.returncode == 0
    notes = [reading.note for reading in read_survey(survey).survey.readings[3:]]
    assert len(notes) == 2 * THREADS * EACH
    for who in ("own", "other"):
        for thread in range(THREADS):
            begun = f"{who}.{thread}."
            assert [n for n in notes if n.startswith(begun)] == [f"{begun}{n}" for n in range(EACH)]
    assert len((survey.parent / ".entered.jsonl").read_text().splitlines()) == len(notes)


def test_a_new_survey_takes_over_the_instruments(folder, survey):
    """Sound at once, never over another, ready to be entered into."""
    file = new_survey(
        folder, "2026-12-01", None, "final", 'B. "Bee" Keeper', room="70 degF", warm_up="40 min"
    )
    assert file.name == "2026-12-01-final.yaml"
    made, old = read_survey(file, plan_with_stations()).survey, read_survey(survey).survey
    assert made.instruments == old.instruments
    assert (made.by, made.kind, made.readings) == ('B. "Bee" Keeper', "final", ())
    assert new_survey(folder, "20261201", None, "final", "me").name == "2026-12-01-final-2.yaml"
    with pytest.raises(SurveyError, match="exists already"):
        new_survey(folder, "2026-12-01", "Final", "later", "me")
    assert (
        new_survey(folder, "2026-12-01", "../../out side", "later", "me").name == "2026-12-01-out-side.yaml"
    )
    assert add_readings(file, [GOOD]).taken == 1
    with pytest.raises(EntryError) as caught:
        new_survey(folder, "yesterday", None, "dry", "me", room="21")
    assert len(caught.value.problems) == 2
    assert [each.survey.kind for each in read_surveys(folder)] == ["dry", "final", "final", "later"]


def test_surveys_are_found_by_name_and_the_broken_are_told(folder, survey):
    """Newest without a name; with its date or without; one that cannot be read does not hide the others."""
    assert read_surveys(folder)[0].name == "2026-11-26-dry"
    later = survey.with_name("2027-01-02-late.yaml")
    later.write_text(SOUND[:300], encoding="utf-8")
    assert find_survey(folder).name == "2027-01-02-late"
    assert find_survey(folder, "dry").file == survey
    assert [bool(each.problems) for each in survey_files(folder / "plan.yaml")] == [False, True]
    with pytest.raises(PlanError, match="cut-off"):
        read_surveys(folder)
    with pytest.raises(SurveyError, match="did you mean 2027-01-02-late"):
        find_survey(folder, "2027-01-02-lat")
    survey.with_name("2027-02-02-dry.yaml").write_text(SOUND, encoding="utf-8")
    with pytest.raises(SurveyError, match="several"):
        find_survey(folder, "dry")
    assert survey_files(folder / "nowhere" / "plan.yaml") == ()
    with pytest.raises(SurveyError, match="survey new"):
        find_survey(folder / "surveys")
    with pytest.raises(SurveyError, match="no folder"):
        add_readings(folder / "nowhere" / "x.yaml", [GOOD])


SLIPS = [
    ({"at": "1", "uvi": "24", "with": "club meter"}, "above 15"),
    ({"at": "1", "uvi": "0.24", "with": "club meter"}, "10 times"),
    ({"at": "1", "uvi": "2.4", "with": "club meter"}, "twice"),
    ({"at": "1", "surface": "95 degC", "with": "thin probe"}, "hotter than 70"),
    ({"at": "1", "uvi": "2.4", "with": "club meter", "lit": "none"}, "no lamp lit"),
]


@pytest.mark.parametrize(("fields", "word"), SLIPS)
def test_odd_values_are_taken_and_asked_about(survey, fields, word):
    """One question each; a sound survey is not asked about."""
    assert slips_in(read_survey(survey)) == ()
    assert add_readings(survey, [fields], plan_with_stations()).taken == 1
    asked = slips_in(read_survey(survey), since=3)
    assert any(word in slip.question for slip in asked)
    assert all(slip.reading == 3 and slip.where.endswith(":18") for slip in asked)


def test_the_head_of_a_survey_is_asked_about(survey):
    """Lamps hardly warm, meters long not calibrated, a salt mixed up."""
    text = SOUND.replace("45 min", "5 min").replace("2026-03-01", "2021-03-01").replace("78 %", "58 %")
    survey.write_text(text, encoding="utf-8")
    asked = " ".join(slip.question for slip in slips_in(read_survey(survey)))
    for word in ("20 min", "5.7 years", "17 points too little"):
        assert word in asked
    # Table salt at 21 degC holds 75.3 % (CRC Handbook, Wexler).
    assert corrections_of(read_survey(survey))["hygrometer"] == pytest.approx(0.753 - 0.58, abs=0.001)
