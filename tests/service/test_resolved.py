"""A plan that is read again unchanged is not resolved again; one that may have changed is."""

from dataclasses import replace

from sunfleck.plan.read import read_plan_text
from sunfleck.service.resolved import MOST_KEPT, _content, resolved
from sunfleck.service.starting import starter_text

ARID = starter_text("arid")


def test_the_same_text_in_the_same_place_is_known_again():
    """`check` after `check` of an unchanged plan costs the reading; another place, remark or library is another plan."""
    ready = resolved(read_plan_text(ARID))
    assert resolved(read_plan_text(ARID)) is ready
    assert resolved(read_plan_text(ARID, file="other/plan.yaml")) is not ready
    assert resolved(read_plan_text(ARID + "# a remark moves lines\n")) is not ready
    source = read_plan_text(ARID)
    assert resolved(replace(source, library=replace(source.library, hash="another"))) is not ready


def test_what_was_asked_last_is_kept_longest():
    """One plan may be asked about between any number of others."""
    ready = resolved(read_plan_text(ARID))
    for k in range(2 * MOST_KEPT):
        resolved(read_plan_text(ARID + f"# {k}\n"))
        assert resolved(read_plan_text(ARID)) is ready


def test_a_plan_that_rests_on_other_files_is_known_by_the_object_alone():
    """A scanned branch or a lamp's file may have changed while the plan's text has not."""
    source = read_plan_text(ARID)
    assert _content(source) == _content(read_plan_text(ARID))
    lamp, *rest = source.plan.fixtures
    with_file = source.plan.model_copy(
        update={"fixtures": (lamp.model_copy(update={"photometry": "lamp.ies"}), *rest)}
    )
    other = replace(source, plan=with_file)
    assert _content(other) is other
