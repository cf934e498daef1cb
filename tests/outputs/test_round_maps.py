"""Maps before and after a meter round side by side: one scale, a third map of the ratio, marks, the same bytes."""

import re
from dataclasses import replace

import numpy as np
import pytest

from sunfleck.outputs.change_scale import CHANGE_COLOURS, TOPS, change_top, change_words
from sunfleck.outputs.round_maps import write_round_maps
from sunfleck.studies.map_change import change_of
from sunfleck.studies.slices import Mark


def weaker(maps, share):
    """The same box with less light."""
    slices = tuple(replace(cut, expected=share * cut.expected) for cut in maps.slices)
    strips = tuple(
        replace(
            s,
            expected=share * s.expected,
            back_line=share * s.back_line,
            low=share * s.low,
            high=share * s.high,
        )
        for s in maps.strips
    )
    return replace(maps, slices=slices, strips=strips)


def small(maps):
    """One cut with a mark and one perch: enough to look at."""
    mark = Mark("1", 2.4, np.array([0.4, 0.3]))
    return replace(maps, slices=(replace(maps.slices[0], marks=(mark,)),), strips=maps.strips[:1])


def words_of(file):
    return re.sub(r"<[^>]+>", " ", file.read_text(encoding="utf-8"))


@pytest.mark.parametrize("dark", [False, True])
def test_three_maps_side_by_side_the_same_every_time(maps, tmp_path, dark):
    """What is told on each; the same bytes twice; a name of its own beside the plain map's."""
    before = small(maps)
    after = weaker(before, 0.7)
    change = change_of(before, after)
    files = write_round_maps(before, after, change, tmp_path, ["svg"], dark=dark)
    ending = "-dark.svg" if dark else ".svg"
    assert [file.name for file in files] == [f"uvi-plan-round{ending}", f"uvi-perches-round{ending}"]
    words = words_of(files[0])
    for each in (
        "Before:",
        "After:",
        "Change:",
        "Here 0.70 times as much",
        "times what was expected",
        "2.4",
        "Discs:",
    ):
        assert each in words
    # The scale is one: its ticks stand under both maps.
    assert words.count("UV index, UVI") == 2
    if dark:
        return
    first = [file.read_bytes() for file in files]
    again = write_round_maps(before, after, change, tmp_path, ["svg"])
    assert [file.read_bytes() for file in again] == first


def test_the_scale_of_a_change_is_round_and_serves_both_ways():
    """0.7 and 1 / 0.7 need the same; nothing to compare is said in words."""
    assert change_top([np.array([0.7])]) == change_top([np.array([1 / 0.7])]) == 1.5
    assert change_top([]) == TOPS[0]
    assert change_top([np.array([1e9, np.nan])]) == TOPS[-1]
    assert "Nothing to compare" in change_words(np.array([np.nan]))


# Machado, Oliveira and Fernandes 2009, deuteranopia and protanopia in full (from memory); linear RGB.
BLIND = {
    "deuteranopia": [[0.367, 0.861, -0.228], [0.280, 0.673, 0.047], [-0.012, 0.043, 0.969]],
    "protanopia": [[0.152, 1.053, -0.205], [0.115, 0.786, 0.099], [-0.004, -0.048, 1.052]],
}


def lab(rgb):
    """CIELAB under D65 of linear RGB (IEC 61966-2-1 primaries)."""
    xyz = (
        np.clip(rgb, 0, 1)
        @ np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]]).T
    )
    t = xyz / np.array([0.9505, 1.0, 1.089])
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.stack([116 * f[:, 1] - 16, 500 * (f[:, 0] - f[:, 1]), 200 * (f[:, 1] - f[:, 2])], axis=1)


def test_less_and_more_are_told_apart_by_everybody():
    """Lightness climbs from the middle to both ends, and equal ratios up and down look different without red or green."""
    from matplotlib import colormaps

    srgb = colormaps[CHANGE_COLOURS](np.linspace(0, 1, 65))[:, :3]
    linear = np.where(srgb <= 0.04045, srgb / 12.92, ((srgb + 0.055) / 1.055) ** 2.4)
    light = lab(linear)[:, 0]
    assert (np.diff(light[:30]) < 0).all()
    assert (np.diff(light[35:]) > 0).all()
    for matrix in BLIND.values():
        seen = lab(linear @ np.array(matrix).T)
        apart = np.linalg.norm(seen[:22] - seen[::-1][:22], axis=1)
        assert apart.min() > 10.0  # a just noticeable difference is about 2.3
