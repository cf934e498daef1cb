"""Promises of the Problem record and of the error that carries all of them."""

import json
import pickle

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.document.problem import PlanError, Problem, nearest

HEIGHT = Problem(
    rule="geometry.inside-shell",
    where="fixtures[1].at ('rear tube')",
    line=7,
    column=16,
    wrote="[10 cm, 20 cm, 160 cm]",
    needed="at most 150 cm, the inside height (line 2)",
    fix="[10 cm, 20 cm, 150 cm]",
)
PRINTED = """\
plan.yaml:7:16  fixtures[1].at ('rear tube')
    wrote   [10 cm, 20 cm, 160 cm]
    needed  at most 150 cm, the inside height (line 2)
    try     [10 cm, 20 cm, 150 cm]
    rule    geometry.inside-shell"""


def test_a_problem_is_printed_as_the_house_prints_it():
    """File, line and column first, then wrote, needed, try, rule."""
    assert str(HEIGHT) == PRINTED


def test_no_remedy_no_line():
    """Without a remedy there is no line `try`."""
    problem = Problem("r", "a", 1, 2, "x", "y", file="other.yaml")
    assert str(problem) == "other.yaml:1:2  a\n    wrote   x\n    needed  y\n    rule    r"


@given(st.text(max_size=20), st.text(max_size=20))
def test_what_was_written_cannot_break_the_layout(wrote, where):
    """Line ends, terminal commands and signs that turn text round are shown as escapes."""
    text = str(Problem("r", where, 1, 1, wrote, "y", "z"))
    assert len(text.splitlines()) == 5
    assert "\x1b" not in text
    assert "\u202e" not in text


def test_the_dictionary_is_the_whole_record():
    """What JSON carries is enough to make the record again."""
    assert Problem(**json.loads(json.dumps(HEIGHT.to_dict()))) == HEIGHT


def test_all_problems_stand_in_file_order_with_their_number():
    """The text ends by saying how many there are and what did not happen."""
    early = Problem("yaml.tag", "a", 3, 9, "!x", "no tag")
    error = PlanError([HEIGHT, early])
    assert error.problems == (early, HEIGHT)
    assert str(error) == f"{early}\n\n{HEIGHT}\n\n2 problems; nothing was computed."
    assert str(PlanError([HEIGHT])).endswith("\n\n1 problem; nothing was computed.")
    assert pickle.loads(pickle.dumps(error)).problems == error.problems


@pytest.mark.parametrize(
    ("rules", "ending"),
    [
        (["schema.unit"], " Rules across fields are checked once this is mended."),
        (["schema.unit", "plan.format"], " Rules across fields are checked once these are mended."),
        (
            ["yaml.tag", "yaml.tag"],
            " Keys, values and rules across fields are checked once these are mended.",
        ),
        (["schema.unit", "names.duplicate"], ""),
        (["file.unreadable"], ""),
    ],
)
def test_the_closing_line_says_what_was_not_looked_at(rules, ending):
    """Whoever mends what is listed knows whether more may follow."""
    text = str(PlanError(Problem(rule, "a", 1, 1, "x", "y") for rule in rules))
    assert text.rpartition("; nothing was computed.")[2] == ending


def test_the_nearest_word_is_offered():
    """A slip of the finger finds its word; a foreign word finds none."""
    known = ["height", "width", "depth"]
    assert nearest("heigth", known) == "height"
    assert nearest("colour", known) is None
    assert nearest("x" * 100_000, known) is None
