"""Problems on the page are told by the names that the user gave, not by paths of a file."""

import pytest

from sunfleck.faces.web.workbench.places import place_words


@pytest.mark.parametrize(
    ("where", "words"),
    [
        ("fixtures[0].guard ('uv tube')", "uv tube, guard"),
        ("fixtures[2].at[1] ('basking lamp')", "basking lamp, at (2)"),
        ("perches[0] ('log')", "log"),
        ("animals[0].accepted.basking_spot ('Ada')", "Ada, accepted, basking spot"),
        ("enclosure.doors[0].size[0]", "enclosure, doors (1), size (1)"),
        ("fixtures[1].lamp", "fixtures 2, lamp"),
        ("fit.clearance", "fit, clearance"),
        ("the plan", "the plan"),
        ("hides[0] ('it's mine')", "it's mine"),
        ("", ""),
    ],
)
def test_a_place_in_words(where, words):
    """Names of parts first, then what of them; numbers from one."""
    assert place_words(where) == words
