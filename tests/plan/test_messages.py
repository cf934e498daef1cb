"""A slip in a plan is one problem, at the line of the slip, with a remedy that can be pasted in."""

import re
import time

import pytest

from oracles.plans import tall_guarded
from sunfleck.document.problem import PlanError
from sunfleck.plan.read import read_plan_text
from sunfleck.service.starting import starter_text

ARID = starter_text("arid")
TALL = tall_guarded()
CLOSING = "Rules across fields are checked once {} mended."


def changed(text, *changes):
    """Return a text with each change made once; what is changed must be there."""
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def refused(text):
    with pytest.raises(PlanError) as caught:
        read_plan_text(text)
    return caught.value


def only(text):
    """Return the one problem that a text has."""
    error = refused(text)
    assert len(error.problems) == 1, str(error)
    return error.problems[0]


def with_line(text, number, line):
    lines = text.split("\n")
    lines[number - 1] = line
    return "\n".join(lines)


def accepted(text):
    return read_plan_text(text).plan.format == 1


SPACES = [
    ("format: 1", "format:1"),
    ("show_units: metric", "show_units:metric"),
    ("  latitude: 45.0", "  latitude:45.0"),
    ("    lamp: uv-t5-54w-strong-reflector", "    lamp:uv-t5-54w-strong-reflector"),
    ("    travel: 12 cm", "    travel:12 cm"),
    ('    hours: ["08:00"', '    hours:["08:00"'),
    ("  room: {winter", "  room:{winter"),
    ("    wood: oak", "    wood:oak"),
]


@pytest.mark.parametrize(("old", "new"), SPACES)
def test_a_space_missing_after_a_colon_is_found_in_its_own_line(old, new):
    """The line is the one without the space, wherever YAML stopped; the remedy makes the plan whole."""
    text = changed(ARID, (old, new))
    problem = only(text)
    key = old.split(":")[0].strip()
    line = text.split("\n")[problem.line - 1]
    assert new in line
    assert line[: problem.column - 1].endswith(f"{key}:")
    assert problem.needed == f"a space after the colon of `{key}`"
    indent = line[: len(line) - len(line.lstrip())]
    assert problem.fix.startswith(old.strip())
    assert accepted(with_line(text, problem.line, indent + problem.fix))


def test_several_spaces_missing_are_found_at_once():
    """One go lists the slips of text that YAML can be helped over, in file order."""
    text = changed(ARID, *SPACES[:2], *SPACES[-1:], ("  latitude: 45.0", " latitude: 45.0"))
    assert [p.line for p in refused(text).problems] == [
        number
        for number, (old, new) in enumerate(zip(ARID.split("\n"), text.split("\n"), strict=True), 1)
        if old != new
    ]


def test_a_space_missing_within_braces_is_said_to_be_missing():
    """`{winter:20 degC}` is a key to YAML, and the missing space to a keeper."""
    text = changed(ARID, ("{winter: 20 degC", "{winter:20 degC"))
    problem = only(text)
    assert (problem.needed, problem.fix) == ("a space after the colon of `winter`", "winter: 20 degC")
    assert accepted(changed(text, ("winter:20 degC", problem.fix)))
    text = re.sub(r"site:\n.*\n.*\n", "site:\n  latitude:45.0\n", ARID)
    problem = only(text)
    assert problem.fix == "latitude: 45.0"
    assert accepted(changed(text, ("latitude:45.0", problem.fix)))


@pytest.mark.parametrize(("old", "new"), [("    lamp: uv", "    lamp uv"), ("site:\n", "site\n")])
def test_a_missing_colon_is_found_in_its_own_line(old, new):
    """Not in the line after it, where YAML stops."""
    text = changed(ARID, (old, new))
    problem = only(text)
    line = text.split("\n")[problem.line - 1]
    assert new.strip() in line
    assert problem.needed.startswith("a colon after `")
    assert accepted(with_line(text, problem.line, line[: len(line) - len(line.lstrip())] + problem.fix))


@pytest.mark.parametrize(
    ("line", "wrong"),
    [
        ("    travel: 12 cm", 3),
        ("    travel: 12 cm", 5),
        ("    travel: 12 cm", 2),
        ("    travel: 12 cm", 1),
        ("    lamp: uv-t5-54w-strong-reflector", 3),
        ("    wood: oak", 3),
        ("  latitude: 45.0", 1),
        ("  latitude: 45.0", 3),
        ("  - name: rear uv tube", 1),
        ("  - name: rear uv tube", 3),
        ("      - {distance: 45 cm, uvi: 3.3, with: club meter}", 5),
        ("      - {distance: 45 cm, uvi: 3.3, with: club meter}", 7),
    ],
)
def test_a_line_out_of_line_is_told_by_its_indentation(line, wrong):
    """The problem counts the spaces of the line and of its neighbours; the remedy is the line with theirs."""
    right = len(line) - len(line.lstrip())
    text = changed(ARID, (f"\n{line}\n", f"\n{' ' * wrong}{line.strip()}\n"))
    problem = only(text)
    assert f"indented by {wrong} where its neighbours are indented by {right}" in problem.needed
    assert (problem.line, problem.column) == (ARID[: ARID.index(f"\n{line}\n")].count("\n") + 2, wrong + 1)
    assert problem.fix == line
    assert with_line(text, problem.line, problem.fix) == ARID


def test_looking_for_a_slip_takes_no_time():
    """A text of the greatest length that is searched, broken all over, is answered within a second."""
    text = "".join(f"{' ' * (i % 7)}key{i}:\n{' ' * (i % 5)}- a{i}:1\n" for i in range(1400))
    assert 25_000 < len(text) < 32 * 1024
    begun = time.process_time()
    refused(text)
    assert time.process_time() - begun < 1.0


@pytest.mark.parametrize(
    ("old", "new", "fix"),
    [
        ("uvi: 5.3", "uvi: 5,3", "uvi: 5.3"),
        ("distance: 30 cm", "distance: 30,5 cm", "distance: 30.5 cm"),
        ("uvi: 5.3", "lux: 12,5 lux", "lux: 12.5 lux"),
        ("uvi: 5.3", "lux: 12,000 lux", "lux: 12.000 lux or lux: 12000 lux"),
    ],
)
def test_a_decimal_comma_within_braces_is_recognised(old, new, fix):
    """One problem, that says decimal point; where it may be thousands both readings are offered."""
    text = changed(ARID, (old, new))
    problem = only(text)
    assert "decimal point" in problem.needed
    assert problem.fix == fix
    for remedy in fix.split(" or "):
        assert accepted(changed(text, (new, remedy)))


def test_a_number_as_a_key_after_a_space_is_no_decimal_comma():
    """`{uvi: 5, 8: x}` is not taken for 5.3."""
    problem = only(changed(ARID, ("uvi: 5.3", "uvi: 5, 8: x")))
    assert problem.needed.startswith("a word as a key")
    problem = only(changed(ARID, ("uvi: 5.3", "uvi: 5,3: x")))
    assert problem.needed.startswith("a word as a key")


def test_a_decimal_comma_elsewhere_is_recognised_too():
    """In a list it makes one entry too many, in a plain number a text."""
    text = changed(ARID, ("[3 cm, 26 cm", "[3,5 cm, 26 cm"))
    problem = only(text)
    assert "decimal point" in problem.needed
    assert problem.fix == "[3.5 cm, 26 cm, 93 cm]"
    assert accepted(changed(text, ("[3,5 cm, 26 cm, 93 cm]", problem.fix)))
    text = changed(ARID, ("latitude: 45.0", "latitude: 45,0"))
    assert only(text).fix == "45.0"
    assert accepted(changed(text, ("45,0", "45.0")))


TEN = [
    ("winter: 20 degC", "winter: 20"),
    ("width: 160 cm", "width: 160"),
    ("thickness: 15 mm", "thikness: 15 mm"),
    ("kind: sliding", "kind: slidng"),
    ("depth: 10 cm", "depth: 10"),
    ("snout_vent: 21 cm", "snout_vent: 21"),
    ("mass: 400 g", "mass: 400"),
    ("travel: 12 cm", "travel: 12"),
    ("wood: oak", "wod: oak"),
    ("opening: right", "opening: rigt"),
]


def test_ten_slips_are_ten_problems():
    """No phantom beside them: an entry that failed still counts as an entry of its list."""
    error = refused(changed(ARID, *TEN))
    assert len(error.problems) == 10, str(error)
    assert "entries" not in str(error)
    mended = changed(ARID, *TEN)
    for (old, new), problem in zip(TEN, error.problems, strict=True):
        key, value = old.split(": ")
        assert problem.fix.split(" or ")[0] in (value, old), problem
        mended = changed(
            mended, (new, problem.fix.split(" or ")[0] if ": " in problem.fix else f"{key}: {value}")
        )
    assert accepted(mended)


def test_a_list_that_is_too_short_is_still_refused():
    """The count is that of the file."""
    head, _, rest = ARID.partition("animals:\n")
    text = head + "animals: []\n" + rest[rest.index("fixtures:") :]
    problem = only(text)
    assert (problem.rule, problem.wrote, problem.needed) == ("schema.count", "0 entries", "at least 1 entry")


def test_the_closing_line_says_that_more_may_follow():
    """Where only the format was looked at; rules across fields end with the number alone."""
    assert str(refused(changed(ARID, TEN[0]))).endswith(
        f"1 problem; nothing was computed. {CLOSING.format('this is')}"
    )
    assert str(refused(changed(ARID, *TEN))).endswith(f"nothing was computed. {CLOSING.format('these are')}")
    assert str(refused(changed(ARID, ("wood: oak", "wood: oka")))).endswith(
        "\n1 problem; nothing was computed."
    )


LAMP = """\
  - name: spare tube
    lamp: uv-t5-54w-strong-reflector
    from: [3 cm, 60 cm, 96 cm]
    to: [118 cm, 60 cm, 96 cm]
    hours: ["08:00", "19:00"]
    travel: 12 cm
"""


def test_an_entry_in_the_wrong_section_is_one_problem():
    """A lamp under `backgrounds` is told to move to `fixtures`, and there it is accepted."""
    text = changed(ARID, ("hides:\n", f"backgrounds:\n{LAMP}hides:\n"))
    problem = only(text)
    assert "this reads like an entry of `fixtures`; move it there" in problem.needed
    assert "spare tube" in problem.where
    assert accepted(changed(text, (f"backgrounds:\n{LAMP}", ""), ("perches:\n", f"{LAMP}perches:\n")))


def test_a_misspelt_key_does_not_make_an_entry_another_sections():
    """A ledge whose `finish` is misspelt stays a ledge."""
    problem = only(changed(ARID, ("finish: cork}", "finsh: cork}")))
    assert problem.fix == "finish: cork"


@pytest.mark.parametrize(
    ("old", "new", "wrote", "needed"),
    [
        ("travel: 12 cm", "travel: [1 cm, 2 cm]", "[1 cm, 2 cm]", "such as"),
        ("aim: [46 cm, 37 cm, 15 cm]", "aim: [46 cm, 37 cm]", "[46 cm, 37 cm]", "3 values: x, y, z"),
        ("aim: [46 cm, 37 cm, 15 cm]", "aim: [46 cm]", "[46 cm]", "3 values: x, y, z"),
        ("travel: 12 cm", "travel: [" + "1 cm, " * 20 + "2 cm]", "a list of 21", "such as"),
    ],
)
def test_a_short_list_is_shown_as_written(old, new, wrote, needed):
    """A keeper sees the own text; only what is too long for a line is counted."""
    problem = only(changed(ARID, (old, new)))
    assert problem.wrote == wrote
    assert needed in problem.needed
    assert problem.fix is None


@pytest.mark.parametrize(
    ("old", "new", "fix"),
    [
        ("thickness: 15 mm", "thikness: 15 mm", "thickness: 15 mm"),
        ("wood: oak", "wod: oak", "wood: oak"),
        ("opening: right", "openning: right", "opening: right"),
        ("  latitude: 45.0", "  latitud: 45.0", "latitude: 45.0"),
        ("site:\n", "ste:\n", "rename `ste` to `site`"),
        ("at: [112 cm", "att: [112 cm", "rename `att` to `at`"),
        ("perches:\n", "perchs:\n", "rename `perchs` to `perches`"),
        ("enclosure:\n", "enclosur:\n", "rename `enclosur` to `enclosure`"),
    ],
)
def test_a_misspelt_key_is_one_problem_at_its_own_place(old, new, fix):
    """A single value comes with its key; for lists and groups the renaming is said; nothing is missing besides."""
    text = changed(ARID, (old, new))
    problem = only(text)
    assert problem.fix == fix
    key = new.split(":")[0].strip()
    assert text.split("\n")[problem.line - 1][problem.column - 1 :].startswith(f"{key}:")
    renamed = re.fullmatch(r"rename `(\w+)` to `(\w+)`", fix)
    remedy = (f"{renamed[1]}:", f"{renamed[2]}:") if renamed else (new.strip(), fix)
    assert changed(text, remedy) == ARID


def test_a_misspelt_key_whose_right_spelling_is_there_gets_no_remedy_that_doubles_it():
    """Pasting a key a second time would only be the next problem."""
    problem = only(changed(ARID, ("thickness: 15 mm", "thickness: 15 mm, thikness: 12 mm")))
    assert problem.fix is None
    assert "`thickness` is there already" in problem.needed


def test_a_missing_key_has_no_made_up_remedy():
    """What is needed is said in words; `key: ...` would not be accepted."""
    problem = only(changed(ARID, ("material: plywood-birch, thickness: 15 mm", "material: plywood-birch")))
    assert (problem.rule, problem.fix) == ("schema.missing", None)
    assert problem.needed == "a value for `thickness`: a length from 0.1 mm to 20 m"


@pytest.mark.parametrize(
    ("old", "new", "units"),
    [
        ("depth: 10 cm", "depth: 10 gal", "units: um, mm, cm, m, in, ft, yd); gal is a unit of volume"),
        ("mass: 400 g", "mass: 1 gal", "units: mg, g, kg, lb, oz); gal is a unit of volume"),
        ("mass: 400 g", "mass: 30 cm", "units: mg, g, kg, lb, oz); cm is a unit of length"),
        ("depth: 10 cm", "depth: 10 furlong", "units: um, mm, cm, m, in, ft, yd)"),
    ],
)
def test_a_unit_of_another_kind_gets_no_made_up_value(old, new, units):
    """Nobody but the keeper knows the value: the units are named, and there is no line `try`."""
    problem = only(changed(ARID, (old, new)))
    assert units in problem.needed
    assert problem.fix is None
    assert "try" not in str(problem)


def test_hostile_keys_are_answered_in_time():
    """Thousands of unknown keys take less than the 2 s that a plan may take, in an entry and at the top."""
    for text in (
        ARID + "".join(f"k{i}hname: 1\n" for i in range(9000)),
        changed(ARID, ("mass: 400 g,", "mass: 400 g" + "".join(f", k{i}name: 1" for i in range(9000)) + ",")),
        changed(ARID, ("{depth: 10 cm", "{depth: 10" + "".join(f",{i} cm" for i in range(9000)))),
    ):
        begun = time.process_time()
        assert len(refused(text).problems) >= 9000
        assert time.process_time() - begun < 2.0
