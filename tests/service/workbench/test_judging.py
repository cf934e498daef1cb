"""Verdicts come in stages, for the newest plan only, and a fault of one plan does not end them."""

import threading
from types import SimpleNamespace

import pytest

from sunfleck.service.workbench import judging
from sunfleck.service.workbench.judging import Judging

PATIENCE = 20.0


class Worked:
    """A plan whose light and whole answer are handed out when the test says so."""

    def __init__(self, name, *, free=True, fault=None):
        self.name, self.fault = name, fault
        self.begun, self.free = threading.Event(), threading.Event()
        if free:
            self.free.set()

    @property
    def report(self):
        self.begun.set()
        assert self.free.wait(PATIENCE)
        return f"light of {self.name}"

    @property
    def whole(self):
        if self.fault is not None:
            raise self.fault
        return f"everything of {self.name}"

    @property
    def climate(self):
        return f"climate of {self.name}"


@pytest.fixture
def told(monkeypatch):
    """What was told, and a way to wait for so many of them."""
    monkeypatch.setattr(judging, "ready_with", lambda source, _: source)
    came = threading.Condition()
    heard = []

    def hear(judged):
        with came:
            heard.append((judged.turn, judged.stage, judged.report, judged.why))
            came.notify_all()

    def wait_for(count):
        with came:
            assert came.wait_for(lambda: len(heard) >= count, PATIENCE), heard
            return list(heard)

    found = SimpleNamespace(hear=hear, wait_for=wait_for, heard=heard)
    found.judging = Judging(hear, pause=0.0)
    yield found
    found.judging.end()


def test_light_is_told_before_everything(told):
    """Two stages of one plan, in their order."""
    told.judging.ask(1, Worked("a"))
    assert [each[:3] for each in told.wait_for(2)] == [
        (1, "light", "light of a"),
        (1, "whole", "everything of a"),
    ]


def test_the_newest_plan_wins(told):
    """While one is worked out two newer ones come: of the first nothing is told any more, the second is skipped."""
    first = Worked("first", free=False)
    told.judging.ask(1, first)
    assert first.begun.wait(PATIENCE)
    told.judging.ask(2, Worked("second"))
    told.judging.ask(3, Worked("third"))
    first.free.set()
    assert [each[0] for each in told.wait_for(2)] == [3, 3]


def test_an_older_plan_does_not_replace_a_newer_one(told):
    """Two threads may ask in the wrong order."""
    first = Worked("first", free=False)
    told.judging.ask(1, first)
    assert first.begun.wait(PATIENCE)
    told.judging.ask(5, Worked("new"))
    told.judging.ask(4, Worked("old"))
    first.free.set()
    assert [each[0] for each in told.wait_for(2)] == [5, 5]


def test_a_fault_is_told_and_the_next_plan_judged(told):
    """Whatever goes wrong in heat and air, light stays and verdicts go on."""
    told.judging.ask(1, Worked("a", fault=ValueError("no room")))
    assert told.wait_for(2)[1] == (1, "failed", "light of a", "no room")
    told.judging.ask(2, Worked("b"))
    assert [each[:2] for each in told.wait_for(4)[2:]] == [(2, "light"), (2, "whole")]


def test_nothing_is_told_after_the_end(told):
    """A window that closes hears no more."""
    first = Worked("first", free=False)
    told.judging.ask(1, first)
    assert first.begun.wait(PATIENCE)
    told.judging.end()
    first.free.set()
    told.judging._thread.join(PATIENCE)
    assert told.heard == []
