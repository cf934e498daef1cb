"""Promises of changing one value: a one-line difference, and nothing else moves."""

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.document.edit import EditError, add_beside, replace_value, scalar_text
from sunfleck.document.reader import read_document, read_document_bytes, resolve, walk

PLAN = """\
# my box
format: 1   # the format
name: 'Lobby basilisk'
site: {winter: 19 degC, hours: ["08:00", "20:00"]}   # {braces} in a comment

lamps:
    - {name: uv tube, travel: 15 cm}
    -   at:
"""


@pytest.mark.parametrize(
    ("path", "value", "line"),
    [
        (("format",), "2", "format: 2   # the format"),
        (("name",), "Rosa's box", "name: 'Rosa''s box'"),
        (("name",), "12", "name: '12'"),
        (("site", "winter"), "66 degF", 'site: {winter: 66 degF, hours: ["08:00", "20:00"]}   # {braces} in a comment'),
        (("site", "hours", 1), "21:00", 'site: {winter: 19 degC, hours: ["08:00", "21:00"]}   # {braces} in a comment'),
        (("lamps", 0, "name"), "a, b: #1", '    - {name: "a, b: #1", travel: 15 cm}'),
        (("lamps", 0, "travel"), "6' 2\"", '    - {name: uv tube, travel: "6\' 2\\""}'),
        (("lamps", 1, "at"), "-3 cm", "    -   at: -3 cm"),
    ],
)  # fmt: skip
def test_a_change_is_one_line(path, value, line):
    """The line comes out as a person would have typed it; every other line is the same."""
    before, after = PLAN.split("\n"), replace_value(read_document(PLAN), path, value).split("\n")
    assert [new for old, new in zip(before, after, strict=True) if old != new] == [line]


KEYS = st.text("abc", min_size=1, max_size=3)
DATA = st.dictionaries(
    KEYS,
    st.recursive(
        st.sampled_from(["12 cm", "a: b", "# x", "no", "", "x'y", 'x"y', "\U0001f98e", "two\nlines"])
        | st.integers(-99, 99)
        | st.floats()
        | st.booleans()
        | st.none(),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
        max_leaves=8,
    ),
    min_size=1,
    max_size=4,
)
VALUES = st.text(max_size=8) | st.sampled_from(
    ["15 cm", "-3 cm", "1e3", "-.5", "true", "no", "null", "~", "", "08:00", "0x1F", "017", "- a", "a #b", "...", "---",
     "&a", "*a", "!t", "| ", "> ", "'", '"', "a,b", "{a", "[a", "a: b", "a:", "?", "%a", "@a", "\ud800", "\ufeff"]
)  # fmt: skip


@given(
    DATA,
    VALUES,
    st.sampled_from([True, False, None]),
    st.sampled_from(["\n", "\r\n"]),
    st.booleans(),
    st.data(),
)
def test_only_that_value_changes(data, value, flow, end, mark, draw):
    """In any document, at any path: the data differ there only, other lines not by a byte."""
    # PyYAML's writer puts the documents down, with comments of ours between them.
    text = yaml.safe_dump(data, allow_unicode=True, default_flow_style=flow, sort_keys=False, width=1000)
    text = ("\ufeff" if mark else "") + ("# first\n" + text + "# last\n").replace("\n", end)
    document = read_document(text)
    path = draw.draw(st.sampled_from([path for path, _ in walk(document.data)]))
    try:
        changed = replace_value(document, path, value)
    except EditError:
        one_line = path in document.styles and "\n" not in document.raw(path)
        assert not one_line or not _writable(value), (text, path)
        return
    before, after = text.split(end), changed.split(end)
    lines = [i for i, (old, new) in enumerate(zip(before, after, strict=True)) if old != new]
    assert lines in ([], [document.mark(path).line - 1])
    old, new = dict(walk(document.data)), dict(walk(read_document(changed).data))
    quoted = document.styles[path] == "quoted" or scalar_text(value).startswith('"')
    assert repr(new[path]) == repr(value if quoted else resolve(value))
    # Containers on the way to the value differ as well; the leaves must not.
    assert {p: repr(v) for p, v in old.items() if p != path[: len(p)]} == {
        p: repr(v) for p, v in new.items() if p != path[: len(p)]
    }
    assert list(old) == list(new)
    raw = document.raw(path)
    if raw and not quoted and scalar_text(raw) == raw:
        assert replace_value(read_document_bytes(changed.encode()), path, raw) == text


def _writable(value: str) -> bool:
    """A lone half of a surrogate pair is no character and cannot stand in a file."""
    return not any("\ud800" <= letter <= "\udfff" for letter in value)


@given(VALUES)
def test_a_scalar_is_read_back(value):
    """In a group, a list, brackets and braces, by our reader and by one of YAML 1.1."""
    if not _writable(value):
        return
    scalar = scalar_text(value)
    wanted = value if scalar.startswith('"') else resolve(value)
    for text in (f"a: {scalar}", f"- {scalar}", f"[{scalar}, 1]", f"{{a: {scalar}, b: 1}}  # c"):
        data = read_document(text).data
        assert repr(data[0] if isinstance(data, list) else data["a"]) == repr(wanted)
        if isinstance(wanted, str):
            data = yaml.safe_load(text)
            assert str(data[0] if isinstance(data, list) else data["a"]) == wanted


@pytest.mark.parametrize(
    ("text", "path", "message"),
    [
        ("a: {b: 1}", ("a",), "no single value stands at a"),
        ("a: {b: 1}", ("a", "c"), r"no single value stands at a\.c"),
        ("a: |\n  one\n  two\n", ("a",), "the value at a goes over several lines"),
        ("a: one\n  two\n", ("a",), "the value at a goes over several lines"),
        ("{a, b: 1}", ("a",), "'7' cannot stand at a"),
        ("? a\n? b\n", ("a",), "'7' cannot stand at a"),
    ],
)
def test_what_cannot_be_changed_in_place_is_refused(text, path, message):
    """A group, a missing value, several lines, a key without its colon: the file stays as it is."""
    with pytest.raises(EditError, match=message):
        replace_value(read_document(text), path, "7")


BESIDE = [
    ("a: {lamp: spot}\n", ("a", "lamp"), "a: {lamp: spot, guard: bars}\n"),
    ("a:\n  - lamp: spot\n    level: 1\n", ("a", 0, "lamp"), "a:\n  - lamp: spot\n    guard: bars\n    level: 1\n"),
    ("- lamp: spot # held\n  to: [1,\n    2]\n", (0, "lamp"), "- lamp: spot # held\n  guard: bars\n  to: [1,\n    2]\n"),
    ("lamp: spot", ("lamp",), "lamp: spot\nguard: bars"),
    ("a: {lamp: spot, level: 1}\r\nb: 2\r\n", ("a", "lamp"), "a: {lamp: spot, guard: bars, level: 1}\r\nb: 2\r\n"),
    ("lamp: spot\r\nb: 2\r\n", ("lamp",), "lamp: spot\r\nguard: bars\r\nb: 2\r\n"),
    ("a: {\n  lamp: spot,\n  level: 1\n}\n", ("a", "lamp"), "a: {\n  lamp: spot, guard: bars,\n  level: 1\n}\n"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "path", "expected"), BESIDE)
def test_a_key_is_added_beside_another(text, path, expected):
    """In blocks on a line of its own, between braces behind a comma; all else stays to the byte."""
    assert add_beside(read_document(text), path, "guard", "bars") == expected


@pytest.mark.parametrize(
    ("text", "path", "words"),
    [
        ("lamp: spot\nguard: bars\n", ("lamp",), "already"),
        ("lamp: [1, 2]\n", ("lamp",), "no single value"),
        ("- 1\n- 2\n", (0,), "no single value"),
    ],
)
def test_what_cannot_be_added_is_refused(text, path, words):
    """A key that is there, a list, an entry of a list."""
    with pytest.raises(EditError, match=words):
        add_beside(read_document(text), path, "guard", "bars")
