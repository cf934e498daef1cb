"""Promises of adding an entry to a list: it is there, and nothing else moved by a byte."""

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from sunfleck.document.edit import EditError
from sunfleck.document.entries import append_entry, meaning
from sunfleck.document.reader import read_document, read_document_bytes, walk

FAN = {"name": "exhaust fan", "fan": "fan-80mm", "at": ["3 cm", "90 cm"]}
LINE = "{name: exhaust fan, fan: fan-80mm, at: [3 cm, 90 cm]}"
ADDED = [
    # A new key, at the end of its group and before what follows.
    ("box:\n  wide: 1 m  # inside\n# lamps\nlamps: []\n", ("box", "fans"), f"box:\n  wide: 1 m  # inside\n  fans:\n    - {LINE}\n# lamps\nlamps: []\n"),
    ("box:\n  wide: 1 m", ("box", "fans"), f"box:\n  wide: 1 m\n  fans:\n    - {LINE}"),
    ("box: {wide: 1 m}  # inside\n", ("box", "fans"), f"box: {{wide: 1 m, fans: [{LINE}]}}  # inside\n"),
    ("box: {}\n", ("box", "fans"), f"box: {{fans: [{LINE}]}}\n"),
    ("wide: 1 m\r\n", ("fans",), f"wide: 1 m\r\nfans:\r\n  - {LINE}\r\n"),
    ("- vents:\n    - {name: low}\n", (0, "fans"), f"- vents:\n    - {{name: low}}\n  fans:\n    - {LINE}\n"),
    ("note: |\n  two\n  lines\n", ("fans",), f"note: |\n  two\n  lines\nfans:\n  - {LINE}\n"),
    # One more in a list, in the list's own manner.
    ("fans:\n  - {name: low}  # old\n\nb: 2\n", ("fans",), f"fans:\n  - {{name: low}}  # old\n  - {LINE}\n\nb: 2\n"),
    ("fans:\n- name: low\n  at: [1,\n    2]\nb: 2\n", ("fans",), f"fans:\n- name: low\n  at: [1,\n    2]\n- {LINE}\nb: 2\n"),
    ("fans:  # none yet\nb: 2\n", ("fans",), f"fans:  # none yet\n  - {LINE}\nb: 2\n"),
    ("fans: []  # none\n", ("fans",), f"fans: [{LINE}]  # none\n"),
    ("fans: [\n  {name: low}, # old\n]\n", ("fans",), f"fans: [\n  {{name: low}}, {LINE}, # old\n]\n"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "path", "expected"), ADDED)
def test_an_entry_is_added(text, path, expected):
    """In blocks on a line of its own, between brackets behind a comma; comments and line ends stay."""
    assert append_entry(read_document(text), path, FAN) == expected


@pytest.mark.parametrize(
    ("text", "path"),
    [
        ("fans: 3\n", ("fans",)),
        ("fans: {name: low}\n", ("fans",)),
        ("a: 1\n", ("box", "fans")),
        ("- 1\n", ("fans",)),
        ("a: 1\n", ()),
        ("? a\n", ("a", 0)),
    ],
)
def test_what_cannot_be_added_is_refused(text, path):
    """A value or a group where a list is wanted, a group that is not there."""
    with pytest.raises(EditError, match=r"stands at|nothing can be added"):
        append_entry(read_document(text), path, FAN)


KEYS = st.text("abc", min_size=1, max_size=3)
SCALARS = st.sampled_from(
    ["12 cm", "a: b", "# x", "no", "", "x'y", 'x"y', "\U0001f98e", "two\nlines", "end\n\n"]
)
DATA = st.recursive(
    SCALARS | st.integers(-99, 99) | st.floats() | st.booleans() | st.none(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3),
    max_leaves=10,
).filter(lambda data: isinstance(data, dict | list))
WORDS = st.sampled_from(
    ["15 cm", "-3 cm", "1e3", "true", "no", "null", "", "08:00", "- a", "a #b", "a,b", "{a", "a: b", "\n"]
)
ENTRIES = st.recursive(
    WORDS, lambda inner: st.lists(inner, max_size=2) | st.dictionaries(KEYS, inner, max_size=3), max_leaves=5
)


@given(
    DATA,
    ENTRIES,
    st.sampled_from([True, False, None]),
    st.sampled_from([None, "|", '"']),
    st.sampled_from(["\n", "\r\n"]),
    st.booleans(),
    st.booleans(),
    st.data(),
)
def test_only_that_entry_is_added(data, entry, flow, style, end, mark, last_line, draw):
    """In any document, at any list or group: the file read back is the data and the entry; the rest stays to the byte."""
    text = yaml.safe_dump(
        data, allow_unicode=True, default_flow_style=flow, default_style=style, sort_keys=False, width=1000
    )
    # A writer that marks what it put down with tags writes no plan.
    text = text.replace("!!float ", "").replace("!!int ", "").replace("!!null ", "").replace("!!bool ", "")
    text = ("\ufeff" if mark else "") + (
        "# first\n" + text.rstrip("\n" if last_line else "") + ("" if last_line else "# last\n")
    )
    text = text.replace("\n", end)
    document = read_document(text)
    groups = [(path, value) for path, value in walk(document.data) if isinstance(value, dict | list)]
    path, value = draw.draw(st.sampled_from(groups))
    path = path if isinstance(value, list) else (*path, "new")
    changed = append_entry(document, path, entry)
    # What was put in is one piece: without it the text is the old one.
    begins = next((i for i, (a, b) in enumerate(zip(text, changed, strict=False)) if a != b), len(text))
    longer = len(changed) - len(text)
    assert any(
        changed[:i] + changed[i + longer :] == text for i in range(max(0, begins - longer), begins + 1)
    )
    assert ("\r" in changed) == ("\r" in text)
    assert "\n" not in changed.replace("\r\n", "") or end == "\n"
    after = read_document_bytes(changed.encode())
    assert after.begins_with == document.begins_with
    old = value if isinstance(value, list) else []
    found = dict(walk(after.data))
    assert repr(found[path]) == repr([*old, meaning(entry)])
    kept = {p: repr(v) for p, v in walk(document.data) if not isinstance(v, dict | list)}
    assert {p: repr(v) for p, v in found.items() if p in kept} == kept
    added = {p for p in found if p[: len(path) + 1] == (*path, len(old))}
    assert set(found) - added - {path} == set(dict(walk(document.data))) - {path}
