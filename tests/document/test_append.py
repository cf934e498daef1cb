"""Entries added to a list: they read back equal, and every other byte is as it was."""

from itertools import takewhile

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sunfleck.document.edit import EditError
from sunfleck.document.entries import append_entries
from sunfleck.document.flow import flow_text
from sunfleck.document.problem import PlanError
from sunfleck.document.reader import read_document

PLAIN = st.characters(codec="utf-8", exclude_characters="\x00")
SCALARS = (
    st.none()
    | st.booleans()
    | st.integers(-(10**9), 10**9)
    | st.floats(allow_nan=False)
    | st.text(PLAIN, max_size=20)
)
TREES = st.recursive(SCALARS, lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(PLAIN, min_size=1, max_size=8), inner, max_size=3), max_leaves=8)  # fmt: skip
ENTRIES = st.lists(
    st.dictionaries(st.text(PLAIN, min_size=1, max_size=8), TREES, min_size=1, max_size=4),
    min_size=1,
    max_size=3,
)

# How people write a list, with what else may stand there.
WRITTEN = [
    "a: 1\nread:\n  - {at: 1}  # one\n  # note\nend: true\n",
    "read:\n- {at: 1}\n- at: 2\n  note: |\n    two\n\nend: true\n",
    "read:\n    - at: 1\n      lit: [a,\n        b]\n\n\n# c\nend: true",
    "read:   # to come\nend: true  # last\n",
    "a: 1\nread: []   # to come\nend: true\n",
    "read: [{at: 1}, {at: 2}, ]\nend: true\n",
    "read: [\n  {at: 1},\n  {at: 2}\n]\nend: true\n",
    "{a: 1, read: [{at: 1}], end: true}\n",
    "{read: [], end: true}",
    "a: 1\nend: true\n",
    "\ufeffread:\r\n  - {at: 1}\r\nend: true\r\n",
    "read:\n  -\n    at: 1\nend: true\n",
    "end: true\nread:\n  - {at: 1}",
]


def common(one, other):
    """How many signs two texts begin with alike."""
    return sum(1 for _ in takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False)))


@given(data=TREES)
def test_what_is_written_on_a_line_reads_back(data):
    """Text that looks like a number, empty text, signs, control characters."""
    text = flow_text(data)
    assert "\n" not in text
    again = read_document(f"- {text}\n").data
    assert again == [data]
    assert str(again) == str([data])


@pytest.mark.parametrize("text", WRITTEN)
@settings(max_examples=15)
@given(entries=ENTRIES)
def test_entries_are_added_and_nothing_else_is_touched(text, entries):
    """The new lines taken out again leave the text as it was, but for the brackets of an empty list."""
    document = read_document(text)
    lines = [flow_text(entry) for entry in entries]
    after = append_entries(document, "read", lines, "end")
    data = read_document(after).data
    assert data["read"] == [*(document.data.get("read") or []), *entries]
    assert {k: v for k, v in data.items() if k != "read"} == {
        k: v for k, v in document.data.items() if k != "read"
    }
    # Brackets give way to lines of their own; within braces there are no lines, and they are filled.
    base = text.replace("[]", "") if "[]" in text and text[0] != "{" else text
    ahead = common(base, after)
    assert ahead + common(base[ahead:][::-1], after[ahead:][::-1]) == len(base)


@pytest.mark.parametrize("text", ["read: 3\n", "read: {a: 1}\n", "- 1\n", "{a: 1, end: true}\n"])
def test_what_cannot_take_entries_is_refused(text):
    """No list, or one written so that a line has no place."""
    with pytest.raises(EditError):
        append_entries(read_document(text), "read", ["{at: 1}"], "end")


def test_an_entry_that_is_no_yaml_is_refused():
    """Nothing half read is written."""
    with pytest.raises((EditError, PlanError)):
        append_entries(read_document("read:\nend: true\n"), "read", ["{at: 1"], "end")
