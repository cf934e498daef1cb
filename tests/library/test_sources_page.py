"""docs/sources.md says where every number comes from and lists those that nobody measured."""

from __future__ import annotations

import re
from pathlib import Path

from sunfleck.library.loader import load_library
from sunfleck.library.unsettled import SETTLED_BY, unsettled, unsettled_table
from sunfleck.library.values import BASES, UNSETTLED

PAGE = (Path(__file__).parents[2] / "docs" / "sources.md").read_text(encoding="utf-8")
LIBRARY = load_library()


def test_every_unsettled_value_is_on_the_page():
    """The list between the marks is the one that `python -m sunfleck.library` prints."""
    between = PAGE.split("<!-- unsettled values: begin -->\n")[1].split("<!-- unsettled values: end -->")[0]
    assert between.strip() == unsettled_table(LIBRARY).strip(), "print it anew: python -m sunfleck.library"
    rows = [row.split(" | ") for row in between.splitlines() if row.startswith("| `")]
    for item in unsettled(LIBRARY):
        section, id_, field = item.key.split("/")
        told = [row[2] for row in rows if row[0] == f"| `{section}/{field}`" and row[1] == item.value.basis]
        assert len(told) == 1, item.key
        assert f"`{id_}`" in told[0] or told[0] == f"all {len(getattr(LIBRARY, section))}", item.key


def test_unsettled_values_are_those_of_weak_basis():
    """Exactly the values from memory and of common practice, each with what would settle it."""
    found = {item.key: item for item in unsettled(LIBRARY)}
    assert set(found) == {key for key, value in LIBRARY.values() if value.basis in UNSETTLED}
    kinds = {"/".join(key.split("/")[::2]) for key in found}
    assert kinds == set(SETTLED_BY)


def test_every_source_named_in_the_library_is_explained():
    """Each S or P number has a line in the table, and no line is left over."""
    numbers = re.compile(r"\b[SP]\d+b?\b")
    named = {n for _, value in LIBRARY.values() for n in numbers.findall(f"{value.source} {value.note}")}
    explained = set(re.findall(r"^\| ([SP]\d+b?) \|", PAGE, re.MULTILINE))
    assert named == explained


def test_every_basis_is_explained():
    """The page says how to read each basis."""
    for basis in BASES:
        assert f"| `{basis}` |" in PAGE
