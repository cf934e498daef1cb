"""What was not checked follows from what the program can ask and what the plan gives it to judge."""

from oracles.plans import tall_guarded
from sunfleck.outputs.words import report_text
from sunfleck.plan.read import read_plan_text
from sunfleck.service.cases import check, check_light
from sunfleck.service.resolved import Resolved
from sunfleck.studies import check as checking
from sunfleck.studies.climate.report import CLIMATE_QUESTIONS
from sunfleck.studies.passage.questions import QUESTIONS as PASSAGE_QUESTIONS
from sunfleck.studies.subjects import SUBJECTS


def unlit():
    text = tall_guarded()
    return read_plan_text(text[: text.index("fixtures:")] + text[text.index("backgrounds:") :])


QUESTIONS = (*checking.QUESTIONS, *CLIMATE_QUESTIONS, *PASSAGE_QUESTIONS)


def test_every_question_answers_a_subject(wholes):
    """No question without its subject, no verdict of a question nobody knows."""
    assert all(question.SUBJECT in SUBJECTS for question in QUESTIONS)
    ids = {question.ID for question in QUESTIONS}
    assert len(ids) == len(QUESTIONS)
    given = {verdict.id.split(":")[0] for report in wholes.values() for verdict in report.verdicts}
    # Whether an animal is known is only said of one that is not.
    # The examples do not say how their boxes come into the house.
    assert given == ids - {"profile", "house-route"}


def test_a_subject_is_judged_or_told_of(wholes):
    """Each of the subjects stands in the verdicts or in the list, never in both."""
    subject_of = {question.ID: question.SUBJECT for question in QUESTIONS}
    for report in wholes.values():
        judged = {subject_of[verdict.id.split(":")[0]] for verdict in report.verdicts}
        told = {key for key, words in SUBJECTS.items() if any(words in line for line in report.not_checked)}
        assert judged | told == set(SUBJECTS) - {"profile"}
        assert not judged & told


def test_a_question_that_the_program_loses_is_told_of(reports, tall, monkeypatch):
    """Derived, not typed: without the question about the warm patch the page says that it was not checked."""
    assert not any("warm patch" in line for line in reports["tall"].not_checked)
    fewer = tuple(q for q in checking.OF_ANIMALS if q.ID != "heat-patch")
    monkeypatch.setattr(checking, "OF_ANIMALS", fewer)
    monkeypatch.setattr(checking, "QUESTIONS", (*fewer, checking.lamp_clearance))
    assert any("warm patch" in line for line in Resolved(tall).report.not_computed)


def test_what_a_plan_lacks_is_named_with_its_subject():
    """No lamp: ceiling, retreat and guards are not judged, each with why; what the program cannot is another list."""
    report = check(unlit())
    lines = [line for line in report.open_points if "no lamp of the plan gives any" in line]
    assert any("too strong somewhere within reach" in line for line in lines)
    assert any("get away from UV" in line for line in lines)
    assert not set(report.open_points) & set(report.not_computed)


def test_what_is_left_out_is_told_where_it_matters(reports):
    """The mirror image in a pane is a point of a box with panes only; without lamps neither is a lamp's shadow."""
    assert any("mirror image" in line for line in reports["tall"].not_computed)
    assert not any(
        "mirror image" in line or "shadows that move" in line for line in check_light(unlit()).not_computed
    )
    meshed = tall_guarded().replace("front: {material: glass-float", "front: {material: plywood-birch")
    assert not any("mirror image" in line for line in check_light(read_plan_text(meshed)).not_computed)


def test_the_page_shows_the_rule_targets_and_ceilings(reports):
    """Issue: one table of the rule; target and ceiling are separate and sourced; chances under `more` only."""
    page, more = (report_text(reports["tall"], "metric", more=m) for m in (False, True))
    for words in (
        "above the ceiling in 5%, or above the target in 50%",
        "(published)   ceiling: none",
        "ceiling: never above 3.00 (common",
        "can be adjusted into range: ",
        "READINGS YOU HAVE",
        "LAMPS AS PLANNED",
    ):
        assert words in page, words
    assert "of the possible worlds:" not in page
    assert "of the possible worlds: above the target" in more
    assert "the range comes from: " in more
    assert "zone 2: 3 at the nearest place it can reach" in more.replace("\n               ", " ")
