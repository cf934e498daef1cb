"""Readings from a table: all of it, or all that is wrong with it by line and column."""

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from oracles.surveys import SOUND, plan_with_stations
from sunfleck.document.problem import EntryError
from sunfleck.plan.read_survey import read_survey
from sunfleck.service.survey_csv import read_csv, table_text
from sunfleck.service.surveys import add_readings


@pytest.fixture(scope="module")
def survey(tmp_path_factory):
    file = tmp_path_factory.mktemp("csv") / "2026-11-26-dry.yaml"
    file.write_text(SOUND, encoding="utf-8")
    return file


def read(survey, text):
    return read_csv(survey, text, "t.csv", plan_with_stations())


COMMA = """\
at,uvi,surface [degC],humidity,with,lit,note,time
1,2.4,,,club meter,"uv tube, basking lamp","said ""hi"", left
at noon",09:30
"52 cm, 38 cm, 45 cm",,35.5,,thin probe,none,,

left branch,,,55 %,hygrometer,,,
"""
SEMICOLON = (
    "\ufeffAT; UVI ;Surface (degC);humidity [%];with;lit;note;time\r\n"
    '1;2,4;;;club meter;uv tube, basking lamp;"said ""hi"", left\r\nat noon";09:30\r\n'
    "52 cm, 38 cm, 45 cm;;35,5;;thin probe;none;;\r\n"
    ";;;;;;;\r\n"
    "left branch;;;55;hygrometer;;;"
)


@pytest.mark.parametrize(
    "text", [COMMA, SEMICOLON, SEMICOLON.replace(";", "\t")], ids=["comma", "semicolon", "tab"]
)
def test_tables_as_spreadsheets_write_them(survey, tmp_path, text):
    """Commas or semicolons, decimal commas, quotes, units in cells or in the header: the same readings."""
    found = read(survey, text)
    assert found.problems == ()
    file = tmp_path / "s.yaml"
    file.write_text(SOUND, encoding="utf-8")
    assert add_readings(file, found.entries, plan_with_stations()).taken == 3
    first, second, third = read_survey(file, plan_with_stations()).survey.readings[3:]
    assert first.values == {"uvi": 2.4}
    assert first.lit == ("uv tube", "basking lamp")
    assert first.note.replace("\r\n", "\n") == 'said "hi", left\nat noon'
    assert first.time == 34_200.0
    assert second.at == (0.52, 0.38, 0.45)
    assert (second.values, second.lit) == ({"surface": pytest.approx(308.65)}, ())
    assert third.values == {"humidity": pytest.approx(0.55)}


# A table, and the line, column and rule of each problem.
WRONG = [
    ("", [(1, 1, "csv.header")]),
    ("at,uvi\n1,2\n", [(1, 1, "csv.header"), (2, 1, "schema.missing")]),
    ("at,with\n1,club meter\n", [(1, 1, "csv.header"), (2, 1, "survey.no-value")]),
    ("at,uvi,uvi,with\n1,2,3,club meter\n", [(1, 8, "csv.header")]),
    ("at,uvy,lux,with\n1,2,30,club meter\n", [(1, 4, "csv.header")]),
    ("at,surface [lux],with\n1,35,thin probe\n", [(1, 4, "csv.header"), (2, 3, "schema.unit")]),
    ("at,note [cm],uvi,with\n1,a,2,club meter\n", [(1, 4, "csv.header")]),
    ("at,uvi,with\n1,2,4,club meter\n", [(2, 5, "survey.instrument"), (2, 7, "csv.extra-cell")]),
    ('at,uvi,with\n1,"2,4",club meter\n', [(2, 3, "schema.number")]),
    ("at,surface,with\n1,35,thin probe\nx,36 degC,thin probe\n", [(2, 3, "schema.unit")]),
    ("at,uvi,with\nx,2,club meter\n\n1,3,club metre\n", [(2, 1, "survey.station"), (4, 5, "survey.instrument")]),
    ('at,uvi,with\n1,"2,club meter\n', [(2, 3, "csv.quote")]),
    ('at,uvi,with\n1,"2"x,club meter\n', [(2, 6, "csv.quote")]),
    ("at;lux;with\n1;12,000;club meter\n1;12.000;club meter\n", [(2, 3, "csv.thousands"), (3, 3, "csv.thousands")]),
    ("at,uvi,with\n" + "1,2,club meter\n" * 1001, [(1001 + 1, 1, "csv.too-large")]),
    ("x" * 600_000, [(1, 1, "csv.too-large")]),
    ('at,note,uvi,with\n1,"two\nlines",2,club meter\n1,,x,club meter\n', [(4, 4, "schema.number")]),
]  # fmt: skip


@pytest.mark.parametrize(("text", "places"), WRONG)
def test_all_that_is_wrong_is_told_by_line_and_column(survey, text, places):
    """In the order of the table."""
    found = read(survey, text).problems
    assert [(p.line, p.column, p.rule) for p in found] == places
    assert all(p.file == "t.csv" and p.needed for p in found)


CELLS = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"]) | st.sampled_from(' ,;"\n\t'), max_size=12
)


@given(notes=st.lists(CELLS, min_size=1, max_size=4), dialect=st.sampled_from([",", ";", "\t"]))
@settings(max_examples=60, deadline=None)
def test_what_a_spreadsheet_writes_comes_back(survey, notes, dialect):
    """Cells written by Python's csv module read as they were, whatever stands in them."""
    stream = io.StringIO()
    writer = csv.writer(stream, delimiter=dialect, lineterminator="\r\n")
    writer.writerows([["at", "uvi", "with", "note"], *(["1", "2.4", "club meter", note] for note in notes)])
    entries = read_csv(survey, stream.getvalue()).entries
    assert [entry.fields.get("note", "") for entry in entries] == [note.strip() for note in notes]


@given(text=st.text(st.characters(codec="utf-8") | st.sampled_from('at,uvi;"\n\r\t12'), max_size=60))
@settings(max_examples=60, deadline=None)
def test_no_table_makes_a_traceback(survey, text):
    """With and without a sound header before it."""
    for begun in ("", "at,uvi,with\n1,2,club meter\n"):
        found = read(survey, begun + text)
        assert all(p.line > 0 and p.column > 0 for p in found.problems)


def test_files_that_are_no_tables(tmp_path):
    """Not there; not UTF-8, with what to do in the spreadsheet."""
    with pytest.raises(EntryError, match="unreadable"):
        table_text(tmp_path / "none.csv")
    (tmp_path / "old.csv").write_bytes("at,note\n1,für\n".encode("cp1252"))
    with pytest.raises(EntryError, match=r"old\.csv:2:1") as caught:
        table_text(tmp_path / "old.csv")
    assert "CSV UTF-8" in str(caught.value)
