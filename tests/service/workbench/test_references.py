"""Promises of a new name in the surveys: they call the part so too, and nothing else in them changes."""

import pytest

from sunfleck.document.edit import EditError
from sunfleck.service.workbench.references import rename_in_surveys, surveys_naming

SURVEY = """\
survey: 1   # first
date: 2026-03-01
kind: final
by: me
lit: [uv tube, "basking lamp"]
lamp_hours: {uv tube: 200 h}   # by the timer
instruments:
readings:
  - {at: 1, uvi: 2, with: m, lit: [uv tube]}   # windy
  - {at: limb, uvi: 2, with: m}
held:
  - {what: probe uv tube, by: me, date: 2026-03-01}
end: true
"""


@pytest.mark.parametrize(
    ("group", "old", "new", "expected"),
    [
        ("fixtures", "uv tube", "left tube", SURVEY.replace("uv tube", "left tube")),
        ("stations", "1", "2", SURVEY.replace("at: 1", 'at: "2"')),
        ("stations", "limb", "the limb", SURVEY.replace("limb", "the limb")),
    ],
)
def test_a_part_is_renamed_wherever_a_survey_names_it(plan_file, group, old, new, expected):
    """Lamps that burned, hours, stations, stops that were passed; a survey that cannot be read is told and left."""
    folder = plan_file.parent / "surveys"
    assert surveys_naming(plan_file, group, old) == rename_in_surveys(plan_file, group, old, new) == ()
    folder.mkdir()
    (folder / "broken.yaml").write_text("a: [")
    (folder / "one.yaml").write_text(SURVEY)
    (folder / "two.yaml").write_text("survey: 1\n")
    told = surveys_naming(plan_file, group, old)
    assert [(m.file.name, m.unread) for m in told] == [("broken.yaml", True), ("one.yaml", False)]
    assert rename_in_surveys(plan_file, group, old, new) == (folder / "one.yaml",)
    assert (folder / "one.yaml").read_text() == expected
    assert (folder / "broken.yaml").read_text() == "a: ["
    with pytest.raises(EditError):
        rename_in_surveys(plan_file, "nothing", old, new)
