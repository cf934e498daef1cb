"""Promises of the wanted range: each limit has its own line and words, and none is said twice."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pytest

from sunfleck.outputs.maps import write_maps
from sunfleck.outputs.targets import targets_of, values_of
from sunfleck.studies.slices import MapSet

SVG = "{http://www.w3.org/2000/svg}"


def test_what_is_wanted_at_most_is_named_where_it_differs(maps: MapSet, tmp_path: Path):
    """Floor, wish and ceiling stand in the key of cuts and perches, the wish between the others."""
    whole = replace(maps, slices=maps.slices[1:2], comfort_ceiling=5.0)
    for file in write_maps(whole, tmp_path, ["svg"]):
        tree = ElementTree.parse(file)
        words = ["".join(each.itertext()).strip() for each in tree.iter(f"{SVG}text")]
        key = [each for each in words if "wanted" in each or "never" in each]
        assert key == [
            "floor: wanted at least 3.0 where it basks",
            "comfort: wanted at most 5.0 within reach",
            "ceiling: never above 6.0 within reach",
        ]


def test_one_line_where_wish_and_ceiling_are_one(maps: MapSet, tmp_path: Path):
    """A wish equal to the ceiling changes nothing on the pictures, to the byte."""
    plain = replace(maps, slices=maps.slices[:1])
    for name in ("without", "equal"):
        (tmp_path / name).mkdir()
    without = write_maps(plain, tmp_path / "without")
    equal = write_maps(replace(plain, comfort_ceiling=maps.ceiling), tmp_path / "equal")
    assert [file.read_bytes() for file in without] == [file.read_bytes() for file in equal]


def test_each_target_has_its_own_pattern(maps: MapSet):
    """Patterns, not colours, tell them apart; a wish stands alone where there is no ceiling."""
    three = targets_of(replace(maps, comfort_ceiling=5.0), "uvi")
    assert values_of(three) == (3.0, 5.0, 6.0)
    assert len({each.dashes for each in three}) == 3
    alone = targets_of(replace(maps, floor=None, ceiling=None, comfort_ceiling=5.0), "uvi")
    assert [each.words for each in alone] == ["comfort: wanted at most 5.0 within reach"]
    assert targets_of(replace(maps, floor=None, ceiling=None), "uvi") == ()


@pytest.mark.parametrize(
    ("values", "floor", "wish"),
    [
        ([1.0, 2.0], "nowhere here", "nowhere here"),
        ([3.0, 4.0], "everywhere here", "nowhere here"),
        ([6.0, 7.0], "everywhere here", "everywhere here"),
        ([1.0, 7.0], "", ""),
        ([np.nan, np.nan], "", ""),
    ],
)
def test_notes_say_where_there_is_no_line(maps: MapSet, values: list[float], floor: str, wish: str):
    """Above the wish nowhere or everywhere; below the floor likewise."""
    targets = targets_of(replace(maps, comfort_ceiling=5.0), "uvi")
    assert [each.note(np.array(values)) for each in targets[:2]] == [floor, wish]
