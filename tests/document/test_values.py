"""Promises of editing lists and groups: what was asked for is there, all other characters stay."""

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.document.compare import put_at, same_but, value_at
from sunfleck.document.edit import EditError, Text, written
from sunfleck.document.entries import meaning
from sunfleck.document.lists import with_copy, with_entry_at, without_entry
from sunfleck.document.reader import read_document, walk
from sunfleck.document.values import with_key, with_key_renamed, with_value, without

PLAN = """\
# a box
fixtures:
  # left
  - name: 'uv tube'   # by the door
    from: [1 cm, 2 cm, 3 cm]   # clip
    hours: ["08:00", "20:00"]
  # right
  -   name: spot #1   # the # is no comment
      # to be moved
      control: {kind: dimming, probe: [1 cm, 2 cm, 3 cm]}  # keep
  - {name: led, note: "a # b"}  # last

perches:   # all oak
  - name: limb
    path:
      - [0 cm, 1 cm, 2 cm]   # at the wall
      - [5 cm, 1 cm, 2 cm]
      - [9 cm, 1 cm, 2 cm]   # free end
"""
PATH = ("perches", 0, "path")
P = [["0 cm", "1 cm", "2 cm"], ["5 cm", "1 cm", "2 cm"], ["9 cm", "1 cm", "2 cm"]]


def differing(before, after):
    """Lines that went and lines that came, in order."""
    one, other = before.split("\n"), after.split("\n")
    while one and other and one[0] == other[0]:
        one, other = one[1:], other[1:]
    while one and other and one[-1] == other[-1]:
        one, other = one[:-1], other[:-1]
    return one, other


CASES = [
    (("fixtures", 0, "from"), ["4 cm", "2 cm", "3 cm"], ["    from: [1 cm, 2 cm, 3 cm]   # clip"], ["    from: [4 cm, 2 cm, 3 cm]   # clip"]),
    (("fixtures", 0, "hours"), ["09:00", "12:00", "13:00", "20:00"], ['    hours: ["08:00", "20:00"]'], ['    hours: ["09:00", "12:00", "13:00", "20:00"]']),
    (PATH, [P[0], P[2]], ["      - [5 cm, 1 cm, 2 cm]"], []),
    (PATH, [P[0], P[1], ["7 cm", "1 cm", "2 cm"], P[2]], [], ["      - [7 cm, 1 cm, 2 cm]"]),
    (PATH, [P[0], ["6 cm", "1 cm", "2 cm"], P[2]], ["      - [5 cm, 1 cm, 2 cm]"], ["      - [6 cm, 1 cm, 2 cm]"]),
    (PATH, [["x"], *P], [], ["      - [x]"]),
    (PATH, [*P, ["x"]], [], ["      - [x]"]),
    (("fixtures", 1, "control"), {"kind": "on-off", "probe": ["1 cm", "9 cm", "3 cm"], "band": "1 K"},
     ["      control: {kind: dimming, probe: [1 cm, 2 cm, 3 cm]}  # keep"],
     ["      control: {kind: on-off, probe: [1 cm, 9 cm, 3 cm], band: 1 K}  # keep"]),
    (("fixtures", 1, "control"), {"kind": "pulse"},
     ["      control: {kind: dimming, probe: [1 cm, 2 cm, 3 cm]}  # keep"], ["      control: {kind: pulse}  # keep"]),
    (("fixtures", 0, "from"), "nowhere", ["    from: [1 cm, 2 cm, 3 cm]   # clip"], ["    from: nowhere   # clip"]),
    (("fixtures", 0, "name"), Text("12"), ["  - name: 'uv tube'   # by the door"], ["  - name: '12'   # by the door"]),
    (("perches", 0, "name"), Text("12"), ["  - name: limb"], ['  - name: "12"']),
]  # fmt: skip


@pytest.mark.parametrize(("path", "value", "gone", "come"), CASES)
def test_a_value_of_any_kind_is_set_in_place(path, value, gone, come):
    """Points, hours, a path of points, a group: the lines that differ, comments and all."""
    after = with_value(read_document(PLAN), path, value)
    assert differing(PLAN, after.text) == (gone, come)
    assert read_document(after.text).data == after.data


def test_a_block_that_becomes_something_else_is_written_anew():
    """On the line of its key, or below the comment that stands there."""
    text = "path:\n  - 1\n  - 2\nwood:   # heavy\n  a: 1\nend: true"
    assert with_value(read_document(text), ("path",), "none").text == text.replace("\n  - 1\n  - 2", " none")
    assert with_value(read_document(text), ("wood",), ["oak"]).text == text.replace("  a: 1", "  [oak]")


TAKEN_OUT = [
    ("a:\n  # one\n  - 1 # x\n  - 2\nb: 1\n", ("a", 0), "a:\n  # one\n  - 2\nb: 1\n"),
    ("a:\n- b: 1\n  c:\n    - 2\n\n# end\nd: 1\n", ("a", 0), "a: []\n\n# end\nd: 1\n"),
    ("a: [1, 2, 3]\n", ("a", 2), "a: [1, 2]\n"),
    ("a: [1, 2, 3]\n", ("a", 0), "a: [2, 3]\n"),
    ("a: [1]\n", ("a", 0), "a: []\n"),
    ("- - 1\n  - 2\n- 3\n", (0, 0), "- - 2\n- 3\n"),
    ("- - 1\n  - 2\n- 3\n", (0, 1), "- - 1\n- 3\n"),
    ("- 1\n- 2", (1,), "- 1"),
    ("- 1\r\n- 2\r\n", (0,), "- 2\r\n"),
    ("a:\n  - |\n    x\n    - y\n  - 2\n", ("a", 0), "a:\n  - 2\n"),
    ("a:\n  -\n  - 2\n", ("a", 0), "a:\n  - 2\n"),
    ("a:\n  -\n    b: 1\n  -\n    b: 2\n", ("a", 1), "a:\n  -\n    b: 1\n"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "path", "expected"), TAKEN_OUT)
def test_an_entry_is_taken_out(text, path, expected):
    """With what belongs to it; a comment above stays, an empty list is written as one."""
    assert without_entry(read_document(text), path).text == expected


def test_a_copy_is_laid_out_as_what_it_was_copied_from():
    """Without its comments, under its own name; a `#` in a word or in quotes is no comment."""
    document = with_copy(read_document(PLAN), ("fixtures", 1), "spot 2")
    gone, come = differing(PLAN, document.text)
    assert gone == []
    assert come == ["  -   name: spot 2", "      control: {kind: dimming, probe: [1 cm, 2 cm, 3 cm]}"]
    document = with_copy(read_document(PLAN), ("fixtures", 2), "3")
    assert differing(PLAN, document.text) == ([], ['  - {name: "3", note: "a # b"}'])
    assert (
        with_copy(read_document("a: [{name: x}, {name: y}]"), ("a", 0), "z").text
        == "a: [{name: x}, {name: z}, {name: y}]"
    )
    assert with_copy(read_document("- name: x # y"), (0,), "z").text == "- name: x # y\n- name: z"


REFUSED = [
    lambda d: with_value(d, ("nothing",), "1"),
    lambda d: without_entry(d, ("fixtures", 9)),
    lambda d: without_entry(d, ("fixtures",)),
    lambda d: without_entry(d, ()),
    lambda d: with_copy(d, ("perches", 0, "path", 0), "x"),
    lambda d: with_entry_at(d, ("fixtures", 7), "x"),
    lambda d: with_entry_at(d, (), "x"),
    lambda d: with_key(d, ("nothing", "a"), "1"),
    lambda d: with_key(d, ("fixtures", "a"), "1"),
    lambda d: without(d, ("nothing",)),
    lambda d: without(d, ()),
    lambda d: with_key_renamed(d, ("fixtures",), "perches"),
    lambda d: with_key_renamed(d, ("fixtures", 0), "x"),
    lambda d: with_copy(d, ("fixtures", 0), "x", key="lamp"),
]  # fmt: skip


@pytest.mark.parametrize("edit", REFUSED)
def test_what_cannot_be_done_is_refused_in_words(edit):
    """An EditError, and no traceback of anything else."""
    with pytest.raises(EditError, match=r"\w+ \w+"):
        edit(read_document(PLAN))


KEYS = st.text("abc", min_size=1, max_size=3)
SCALARS = st.sampled_from(
    ["12 cm", "a: b", "# x", "no", "", "x'y", 'x"y', "\U0001f98e", "two\nlines", "end\n\n"]
)
DATA = st.recursive(
    SCALARS | st.integers(-99, 99) | st.booleans() | st.none(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
    max_leaves=10,
).filter(lambda data: isinstance(data, dict | list))
WORDS = st.sampled_from(
    ["15 cm", "-3 cm", "1e3", "true", "no", "null", "", "08:00", "- a", "a #b", "a,b", "{a", "a: b"]
)
ENTRIES = st.recursive(
    WORDS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3), max_leaves=5
)


@st.composite
def documents(draw):
    """Any document, in any style, with a comment at its beginning and behind each line that can have one."""
    text = yaml.safe_dump(
        draw(DATA),
        allow_unicode=True,
        default_flow_style=draw(st.sampled_from([True, False, None])),
        sort_keys=False,
        width=1000,
    )
    document = read_document("# first\n" + text + "# last\n")
    return read_document(document.text.replace("\n", draw(st.sampled_from(["\n", "\r\n"]))))


def unordered(data):
    """Data in which the order of keys does not count."""
    if isinstance(data, dict):
        return sorted((key, unordered(value)) for key, value in data.items())
    return [unordered(each) for each in data] if isinstance(data, list) else (type(data).__name__, data)


def kept_outside(document, path, after):
    """Every character before and behind the value at a path is as it was."""
    mark = document.marks[path]
    begin = mark.key_end if mark.key_end is not None else mark.start
    before, behind = document.text[:begin], document.text[mark.end :]
    return after.text.startswith(before) and after.text.endswith(behind.lstrip("\r\n"))


@settings(max_examples=60, deadline=None)
@given(documents(), ENTRIES, st.data())
def test_any_value_is_set_and_nothing_else_moves(document, entry, draw):
    """In any document, at any place."""
    path = draw.draw(st.sampled_from([path for path, _ in walk(document.data)]))
    try:
        after = with_value(document, path, entry)
    except EditError:
        # In flow style written by machines everything has its place; a block scalar at the top has no other form.
        assert "\n" in str(value_at(document.data, path))
        return
    assert same_but(document.data, after.data, path)
    assert unordered(value_at(after.data, path)) == unordered(meaning(entry))
    assert kept_outside(document, path, after)
    assert after.text == written(read_document(after.text))


@settings(max_examples=60, deadline=None)
@given(documents(), WORDS, st.data())
def test_any_entry_is_put_in_and_taken_out_again(document, entry, draw):
    """Taking it out again leaves the text that was there; taking another one out leaves all its neighbours."""
    lists = [path for path, value in walk(document.data) if isinstance(value, list)]
    if not lists:
        return
    path = draw.draw(st.sampled_from(lists))
    known = value_at(document.data, path)
    index = draw.draw(st.integers(0, len(known)))
    longer = with_entry_at(document, (*path, index), entry)
    assert repr(longer.data) == repr(
        put_at(document.data, path, [*known[:index], meaning(entry), *known[index:]])
    )
    again = without_entry(longer, (*path, index))
    assert again.text == document.text
    if known:
        k = min(index, len(known) - 1)
        shorter = without_entry(document, (*path, k))
        assert repr(shorter.data) == repr(put_at(document.data, path, [*known[:k], *known[k + 1 :]]))


@settings(max_examples=40, deadline=None)
@given(documents(), ENTRIES, st.data())
def test_any_key_is_added_and_taken_out_again(document, entry, draw):
    """The text that was there comes back."""
    groups = [path for path, value in walk(document.data) if isinstance(value, dict)]
    if not groups:
        return
    path = (*draw.draw(st.sampled_from(groups)), "new")
    longer = with_key(document, path, entry)
    assert repr(value_at(longer.data, path)) == repr(meaning(entry))
    assert without(longer, path).text == document.text
