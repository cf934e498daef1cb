"""Promises of reading a document: plain data, the place of every value, guards that act first."""

import math
import time

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.document.problem import PlanError
from sunfleck.document.reader import Limits, read_document, read_document_bytes, resolve, walk
from sunfleck.document.syntax import line_column
from sunfleck.document.tree import DEFAULT_LIMITS, TreeBuilder

PLAN = """\
format: 1  # the format
name: 'Lobby basilisk'
site:
  room: {winter: 19 degC, night_drop:\t2 K}
  # a comment that belongs to nothing

perches:
  - name: "main limb"
    path: [[2 cm, 20 cm, 40 cm], [60 cm, 40 cm, 85 cm]]
  - wood: oak
empty:
last: |
  two
  lines
"""
RULES = {
    "a: 1\na: 2": ("yaml.duplicate-key", 2, 1, "line 1"),
    "{a: 1, b: 2, a: 3}": ("yaml.duplicate-key", 1, 14, "line 1"),
    "a:\n  - b: 1\n    c: 2\n    b: 3": ("yaml.duplicate-key", 4, 5, "line 2"),
    "a: &x 1": ("yaml.alias", 1, 4, "written out"),
    "a: *x": ("yaml.alias", 1, 4, "written out"),
    "a: !!int 1": ("yaml.tag", 1, 4, "plain values"),
    "a: ! 1": ("yaml.tag", 1, 4, "plain values"),
    "a: !!python/object:os.system x": ("yaml.tag", 1, 4, "plain values"),
    "%TAG ! tag:x,2000:\n---\na: 1": ("yaml.tag", 1, 1, "no directive"),
    "a: 1\n---\nb: 2": ("yaml.several-documents", 2, 1, "one document"),
    "12: 1": ("yaml.key-not-text", 1, 1, "a word as a key"),
    "true: 1": ("yaml.key-not-text", 1, 1, "a word as a key"),
    "? [1, 2]\n: 3": ("yaml.key-not-text", 1, 3, "a word as a key"),
    "?\n: 1": ("yaml.key-not-text", 1, 2, "a word as a key"),
    ": 1": ("yaml.syntax", 1, 1, "a key below its neighbours"),
    "a: \x07": ("yaml.encoding", 1, 4, "printable"),
    "a: \u2028": ("yaml.encoding", 1, 4, "printable"),
    "a: 1\nb: \ud800": ("yaml.encoding", 2, 4, "printable"),
    "a: [1, 2": ("yaml.syntax", 1, 9, "closes the list begun in line 1"),
    "a: {b: 1": ("yaml.syntax", 1, 9, "closes the keys begun in line 1"),
    "a: 'x": ("yaml.syntax", 1, 6, "closes the text begun in line 1"),
    "a:\n\tb: 1": ("yaml.syntax", 2, 1, "a tab cannot indent"),
    "a: b: c": ("yaml.syntax", 1, 5, "in quotes"),
    "a: 1\n  b: 2": ("yaml.syntax", 2, 3, "indented by 2 where its neighbours are indented by 0"),
    "a:\n    b: 1\n  c: 2": ("yaml.syntax", 3, 3, "indented by 2 where its neighbours are indented by 4"),
    "a:\n  - 1\n  b: 2": ("yaml.syntax", 3, 3, "begins with -"),
    "a: @x": ("yaml.syntax", 1, 4, "begins with @ in quotes"),
    'a: "\\q"': ("yaml.syntax", 1, 5, "doubled backslash"),
    "a: 1\nb\nc: 2": ("yaml.syntax", 2, 2, "a colon after `b`"),
}


def problems(text, **options):
    with pytest.raises(PlanError) as caught:
        read_document(text, **options)
    return caught.value.problems


def outcome(read, text):
    """Return marks and no problems, or no marks and at least one problem."""
    try:
        return read(text).marks, ()
    except PlanError as error:
        return {}, error.problems or pytest.fail("an error without a problem")


def test_every_value_and_key_is_where_the_mark_says():
    """Characters start:end of the text are the value as written, and likewise its key."""
    document = read_document(PLAN)
    written = {
        ("format",): "1",
        ("name",): "'Lobby basilisk'",
        ("site", "room", "night_drop"): "2 K",
        ("site", "room"): "{winter: 19 degC, night_drop:\t2 K}",
        ("site",): "room: {winter: 19 degC, night_drop:\t2 K}",
        ("perches", 0, "name"): '"main limb"',
        ("perches", 0, "path", 1): "[60 cm, 40 cm, 85 cm]",
        ("perches", 0, "path", 1, 2): "85 cm",
        ("perches", 1): "wood: oak",
        ("empty",): "",
        ("last",): "|\n  two\n  lines",
    }
    for path, expected in written.items():
        assert document.raw(path) == expected
    for path, mark in document.marks.items():
        lines = document.text[: mark.start].split("\n")
        assert (mark.line, mark.column) == (len(lines), len(lines[-1]) + 1), path
        if path and isinstance(path[-1], str):
            assert document.text[mark.key_start : mark.key_end] == path[-1]
            lines = document.text[: mark.key_start].split("\n")
            assert (mark.key_line, mark.key_column) == (len(lines), len(lines[-1]) + 1)
        else:
            assert mark.key_start is None
    assert set(document.marks) == {path for path, _ in walk(document.data)}
    assert document.lines[1] == "name: 'Lobby basilisk'"


def test_a_missing_path_is_placed_at_its_nearest_parent():
    """A value that is not there points at the group that lacks it."""
    document = read_document(PLAN)
    assert document.mark(("site", "room", "summer")) == document.mark(("site", "room"))
    assert document.mark(("perches", 7, "wood", 3)) == document.mark(("perches",))
    assert document.mark(("nothing",)) == document.mark(())


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("first", ["", "\ufeff"])
def test_line_ends_byte_order_marks_and_rare_letters_shift_nothing(end, first):
    """Windows line ends, a byte order mark and letters beyond 16 bits leave line and column alone."""
    text = first + end.join(
        ["# \U0001f98e lizard", "names: ['\U0001f98e', b]", "room: {a: 1, \U0001f98e: 2}"]
    )
    document = read_document_bytes(text.encode())
    mark = document.mark(("names", 1))
    assert (mark.line, mark.column) == (2, 14)
    assert document.raw(("names", 1)) == "b"
    mark = document.mark(("room", "\U0001f98e"))
    assert (mark.line, mark.column, mark.key_column) == (3, 17, 14)
    assert document.text[mark.key_start : mark.key_end] == "\U0001f98e"
    assert document.begins_with == first
    assert len(document.lines) == 3


# YAML 1.2.2, section 10.3.2, the table of the core schema, and the words that version 1.1 read otherwise.
@pytest.mark.parametrize(
    ("written", "value"),
    [
        ("", None), ("~", None), ("null", None), ("NULL", None), ("nUll", "nUll"),
        ("true", True), ("False", False), ("tRue", "tRue"),
        ("0", 0), ("-19", -19), ("+12", 12), ("007", 7), ("0o14", 12), ("0x1F", 31), ("-0x1F", "-0x1F"),
        ("0.", 0.0), ("-0.0", -0.0), (".5", 0.5), ("+12e03", 12000.0), ("-2E+05", -2e5),
        (".inf", math.inf), ("-.Inf", -math.inf), ("+.INF", math.inf), (".nan", math.nan), ("nan", "nan"),
        ("no", "no"), ("on", "on"), ("y", "y"), ("1_000", "1_000"), ("08:00", "08:00"), ("190:20:30", "190:20:30"),
        ("0b11", "0b11"), ("2001-12-14", "2001-12-14"), ("=", "="), ("1e", "1e"), (".", "."), ("4 ft", "4 ft"),
        ("1e400", math.inf),
    ],
)  # fmt: skip
def test_scalars_mean_what_version_1_2_says(written, value):
    """Plain scalars follow the core schema; in quotes all are text."""
    for found in (resolve(written), read_document(f"a: {written}").data["a"]):
        assert type(found) is type(value)
        assert found == value or (isinstance(value, float) and math.isnan(value) and math.isnan(found))
    assert read_document(f"a: '{written}'").data == {"a": written}
    assert read_document(f'a: "{written}"').data == {"a": written}


@given(st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text("ab \n:#'\"\U0001f98e-", max_size=6),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text("ab:'", min_size=1, max_size=3), inner, max_size=3),
    max_leaves=8,
), st.booleans(), st.sampled_from([True, False, None]))  # fmt: skip
def test_data_written_by_another_writer_come_back(data, unicode, flow):
    """What PyYAML's own writer writes, block or flow, is read as the same data (numbers by repr)."""
    text = yaml.safe_dump(data, allow_unicode=unicode, default_flow_style=flow, sort_keys=False)
    # The writer is one of YAML 1.1: it writes 1e+20 as 1.0e+20, fine in both; times and such it quotes.
    document = read_document(text.removesuffix("...\n"))
    assert document.data == data
    assert repr(document.data) == repr(data)


@given(st.text(st.sampled_from("ab1 \n\t:-#'\"[]{},&*!|>%@?~.\r\U0001f98e"), max_size=60))
def test_any_text_gives_data_or_located_problems(text):
    """Never another exception; every problem lies inside the text; marks cover it in order."""
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    marks, found = outcome(read_document, text)
    for problem in found:
        assert 1 <= problem.line <= len(lines)
        assert 1 <= problem.column <= len(lines[problem.line - 1]) + 1, problem
    for mark in marks.values():
        assert 0 <= mark.start <= mark.end <= len(text)


@given(st.binary(max_size=80))
def test_any_bytes_give_data_or_located_problems(content):
    """Bytes that are no UTF-8 are one more problem with a place."""
    _, found = outcome(read_document_bytes, content)
    assert all(problem.line >= 1 and problem.column >= 1 for problem in found)


@given(st.text(st.sampled_from("ab1 \n:-#'\"[]{},|>?~\U0001f98e"), max_size=60))
def test_the_parser_in_python_gives_the_same_tree(text):
    """Where libyaml is missing, PyYAML's own parser gives the same data and the same places."""
    trees = []
    for loader in (yaml.CSafeLoader, yaml.SafeLoader):
        builder = TreeBuilder("plan.yaml", DEFAULT_LIMITS)
        try:
            builder.build(text, loader)
        except (yaml.YAMLError, RecursionError):
            return
        trees.append((builder.data, builder.styles, sorted(map(str, builder.problems))))
    assert repr(trees[0]) == repr(trees[1])


@pytest.mark.parametrize("text", RULES)
def test_a_problem_of_the_text_is_located(text):
    """Rule, line and column are those of the fault, and the sentence names what was needed."""
    rule, line, column, needed = RULES[text]
    found = problems(text)[0]
    assert (found.rule, found.line, found.column) == (rule, line, column), found
    assert needed in found.needed


@pytest.mark.parametrize("end", ["\r\n", "\r"])
def test_line_ends_do_not_move_a_problem(end):
    """The same fault has the same place and words whatever ends the lines."""
    for text in RULES:
        assert problems("\n" + text.replace("\n", end)) == problems("\n" + text)
        assert problems(end + text.replace("\n", end)) == problems("\n" + text)
    for index in range(3):
        line, column = line_column(f"ab{end}c"[: 2 + len(end)], index)
        assert (line, column) == (1, index + 1)
    assert line_column(f"ab{end}c", 2 + len(end)) == (2, 1)
    assert line_column("ab\r\nc", 3) == (1, 3)


def test_no_sentence_is_the_parsers_own():
    """The wording of libyaml never reaches a keeper."""
    for text, (rule, *_) in RULES.items():
        if rule == "yaml.syntax":
            for word in ("flow", "scalar", "token", "block", "expected", "mapping", "stream"):
                assert word not in problems(text)[0].needed


def test_all_problems_are_found_at_once_in_file_order():
    """Aliases, tags, duplicate keys and wrong keys are all listed, each with its path."""
    found = problems("a: 1\nb: &x [!!str q, *x]\na: 2\n3: {c: 1, c: 2}\n")
    assert [(p.rule, p.line, p.where) for p in found] == [
        ("yaml.alias", 2, "b"),
        ("yaml.tag", 2, "b[0]"),
        ("yaml.alias", 2, "b[1]"),
        ("yaml.duplicate-key", 3, "a"),
        ("yaml.key-not-text", 4, "the plan"),
        ("yaml.duplicate-key", 4, "3.c"),
    ]


def test_bytes_that_are_no_utf8_are_located_in_characters():
    """The column counts what a person sees before the bad byte, not bytes."""
    with pytest.raises(PlanError, match="0xff") as caught:
        read_document_bytes("\ufeffa: 1\nb: \U0001f98e ".encode() + b"\xff")
    found = caught.value.problems[0]
    assert (found.rule, found.line, found.column) == ("yaml.encoding", 2, 6)


@pytest.mark.parametrize(
    ("text", "rule", "needed"),
    [
        ("[" * 5, "yaml.too-deep", "at most 4 deep"),
        ("- " * 5 + "x", "yaml.too-deep", "at most 4 deep"),
        ("a: [1, 2, 3, 4, 5, 6, 7, 8]", "yaml.too-large", "at most 10 keys and values"),
        ("a: " + "\U0001f98e" * 20, "yaml.too-large", "at most 0.0625 KiB"),
    ],
)
def test_limits_are_named(text, rule, needed):
    """A broken limit says what the limit is; exactly at the limit is allowed."""
    limits = Limits(size=64, depth=4, values=10)
    assert read_document("[[[[1]]]]", limits=limits).data == [[[[1]]]]
    assert read_document("[1, 2, 3, 4, 5, 6, 7, 8, 9]", limits=limits).data[-1] == 9
    found = problems(text, limits=limits)[0]
    assert found.rule == rule
    assert needed in found.needed


HOSTILE = {
    "brackets": lambda n: "[" * n,
    "braces": lambda n: "{a: " * (n // 4),
    "dashes": lambda n: "- " * (n // 2),
    "dashes in lines": lambda n: "".join(" " * i + "-\n" for i in range(int((2 * n) ** 0.5) - 2)),
    "question marks": lambda n: "? " * (n // 2),
    "keys": lambda n: "".join(f"k{i}:\n" for i in range(n // 8)),
    "one flow group": lambda n: "{" + ",".join(f"k{i}" for i in range(n // 8)) + "}",
    "duplicate keys": lambda n: "a: 1\n" * (n // 5),
    "laughs": lambda n: "a: &a [x]\n" + "".join(f"k{i}: &k{i} [*a,*a,*a,*a]\n" for i in range(n // 40)),
    "one plain line": lambda n: "a: " + "x " * (n // 2 - 2),
    "one word": lambda n: "x" * n,
    "one number": lambda n: "a: " + "9" * (n - 3),
    "one quoted line": lambda n: 'a: "' + "\\x41" * (n // 4 - 2) + '"',
    "open quote": lambda n: 'a: "' + "x\n" * (n // 2 - 2),
    "comments": lambda n: "#\n" * (n // 2),
    "directives": lambda n: "".join(f"%TAG !{i}! x\n" for i in range(n // 16)) + "---\na",
    "late directives": lambda n: "a\n...\n" + "".join(f"%TAG !{i}! x\n" for i in range(n // 16)) + "---\na",
    "directives of old machines": lambda n: "".join(f"%TAG !{i}! x\r" for i in range(n // 16)) + "---\ra",
    "unknown directives": lambda n: "%A\n" * (n // 3),
    "documents": lambda n: "---\n" * (n // 4),
    "anchors": lambda n: "&a " * (n // 3),
    "tag": lambda n: "!" + "a" * (n - 1),
    "colons": lambda n: ":" * n,
    "colons and spaces": lambda n: "a: " * (n // 3),
    "commas": lambda n: "[" + "," * (n - 1),
    "tabs": lambda n: "\t" * n,
    "carriage returns": lambda n: "a: 1\r" * (n // 5),
    "block scalar": lambda n: "a: |\n" + " x\n" * (n // 3 - 3),
    "bars": lambda n: "a: |" + "9" * (n - 4),
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_hostile_files_are_answered_at_once(kind):
    """512 KiB of anything are read or refused in less than 2 s, without overflowing the stack."""
    text = HOSTILE[kind](DEFAULT_LIMITS.size)
    assert len(text) <= DEFAULT_LIMITS.size
    begun = time.process_time()
    outcome(read_document, text)
    assert time.process_time() - begun < 2.0


def test_a_plan_is_read_in_milliseconds():
    """5 kB take less than 10 ms of processor time (best of five)."""
    text = "".join(f"lamp{i}: {{at: [1 cm, 2 cm, 3 cm], name: 'lamp {i}'}}\n" for i in range(100))
    assert 4_500 < len(text) < 5_500
    times = []
    for _ in range(5):
        begun = time.process_time()
        read_document(text)
        times.append(time.process_time() - begun)
    assert min(times) < 0.010
