"""A round entered by phones: nothing lost or doubled, slips asked about, nothing expected told too early."""

import json
import threading
from types import SimpleNamespace

import numpy as np
import pytest

from oracles.surveys import PLAN, SOUND, plan_with_stations
from sunfleck.document.problem import EntryError
from sunfleck.plan.read_survey import read_survey
from sunfleck.service import round_comparison, survey_writing
from sunfleck.service.phone_round import PhoneRound
from sunfleck.service.round_comparison import Comparison, Known
from sunfleck.service.survey_entries import Entry
from sunfleck.service.surveys import add_held, add_readings, take_in
from sunfleck.studies.meter.calibration import Compared
from sunfleck.studies.meter.hold_points import hold_points
from sunfleck.studies.meter.meter_readings import MeterReading
from sunfleck.studies.meter.prospect import Expected
from sunfleck.studies.meter.slips import Slip
from sunfleck.studies.meter.station_plan import Station

READING = {"at": "1", "with": "club meter", "uvi": "2,4", "time": "09:05"}


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "plan.yaml").write_text(PLAN, encoding="utf-8")
    (tmp_path / "surveys").mkdir()
    (tmp_path / "surveys" / "2026-11-26-dry.yaml").write_bytes(SOUND.encode())
    return tmp_path


@pytest.fixture
def survey(folder):
    return folder / "surveys" / "2026-11-26-dry.yaml"


@pytest.fixture
def phones(folder):
    return PhoneRound(folder, compare=False)


def sent(number=1, **more):
    return READING | {"id": f"phone-a-{number:04}"} | more


def test_a_reading_as_a_phone_sends_it_stands_in_the_survey(phones, survey):
    """Decimal comma and the display's degrees become what a survey holds; the state tells it as read."""
    assert phones.state()["stations"][0]["state"] == "read"
    assert phones.enter(sent())["state"] == "taken"
    told = phones.enter(
        sent(2, at="left branch", **{"with": "thin probe"}, uvi="", surface="95,5", degrees="degF")
    )
    assert told == {"state": "taken", "problems": [], "asked": [], "expected": []}
    readings = read_survey(survey, plan_with_stations()).survey.readings
    assert readings[-2].values == {"uvi": 2.4}
    assert readings[-1].values == {"surface": pytest.approx(308.43, abs=0.01)}
    humid = phones.enter(sent(3, **{"with": "hygrometer"}, uvi="", humidity="48"))
    assert humid["state"] == "taken"
    assert phones.state()["stations"][0]["readings"][-1]["values"] == "humidity 48 %"


REFUSED = [
    ({"uvi": "two"}, "uvi: two is not a UV index"),
    ({"uvi": "", "lux": "12,000"}, "read in one way only; try 12000"),
    ({"with": "clubmeter"}, "club meter"),
    ({"at": "nowhere"}, "left branch"),
    ({"id": "x"}, "8 to 64"),
    ({"id": None}, "8 to 64"),
    ({"degrees": "K"}, "°C or °F"),
    ({"note": ["a"]}, "text of at most"),
    ({"note": "a" * 601}, "text of at most"),
    ({"uvi": ""}, "uvi"),
]


@pytest.mark.parametrize(("changed", "told"), REFUSED)
def test_what_cannot_be_read_is_told_and_not_entered(phones, survey, changed, told):
    """In one sentence; the phone keeps it to be corrected."""
    answer = phones.enter(sent() | changed)
    assert answer["state"] == "refused"
    assert any(told in words for words in answer["problems"]), answer
    assert survey.read_bytes() == SOUND.encode()


def test_a_slip_is_asked_about_at_once(phones):
    """Ten times another reading at the place, and above any that is usual: taken, with both questions."""
    told = phones.enter(sent(uvi="24"))
    assert told["state"] == "taken"
    assert "above 15" in told["asked"][0]
    assert "10 times more" in told["asked"][1]
    assert phones.state()["stations"][0]["state"] == "asked about"


def test_the_same_id_is_taken_once(phones, survey):
    """Whether its first answer got lost, both tries come at once, or it is corrected after a refusal."""
    assert phones.enter(sent(uvi="x"))["state"] == "refused"
    assert phones.enter(sent())["state"] == "taken"
    assert phones.enter(sent())["state"] == "already"
    many = [threading.Thread(target=phones.enter, args=(sent(7),)) for _ in range(4)]
    for thread in many:
        thread.start()
    for thread in many:
        thread.join()
    assert len(read_survey(survey).survey.readings) == 3 + 2
    twice = Entry({"at": "1", "uvi": "1", "with": "club meter"}, id="in-one-go")
    assert add_readings(survey, [twice, twice]).already == 1


def test_an_entry_of_another_round_is_left_with_the_phone(phones, survey):
    """The same address may serve another plan the next day: what a phone still holds goes into its own survey only."""
    key = phones.state()["key"]
    assert phones.enter(sent(key="another"))["state"] == "another round"
    assert (
        phones.hold({"id": "phone-a-stop", "what": "leak", "by": "me", "key": 3})["state"] == "another round"
    )
    assert survey.read_bytes() == SOUND.encode()
    assert phones.enter(sent(key=key))["state"] == "taken"


def test_an_id_is_called_safe_only_after_the_entry_is(phones, survey, monkeypatch):
    """Put down in the journal, then the program dies: sent again, it is entered."""

    def die(*_):
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr(survey_writing, "write_whole", die)
        with pytest.raises(KeyboardInterrupt):
            phones.enter(sent())
    assert "phone-a-0001" in (survey.parent / ".entered.jsonl").read_text()
    assert phones.enter(sent())["state"] == "taken"
    # A journal somebody wrote into does not stop the next.
    with (survey.parent / ".entered.jsonl").open("ab") as journal:
        journal.write(b'{"safe": 3}\n{"safe": [[]]}\n"safe"\n{"safe"\n\xff\n')
    assert phones.enter(sent(2))["state"] == "taken"
    assert len(read_survey(survey).survey.readings) == 5


def test_a_broken_survey_keeps_readings_and_stops_waiting(phones, survey):
    """Told as waiting, with what to mend; sent again they are safe already; mended, each stands there once."""
    survey.write_text(SOUND[:-50], encoding="utf-8")
    told = phones.enter(sent())
    assert told["state"] == "waiting"
    assert "`end: true` as the last line" in told["problems"][0]
    assert phones.hold({"id": "phone-b-0001", "what": "leak", "by": "A. Keeper"})["state"] == "waiting"
    assert phones.enter(sent())["state"] == "already"
    state = phones.state()
    assert state["waiting"] == 2
    assert state["problems"]
    survey.write_bytes(SOUND.encode())
    state = phones.state()
    assert (state["waiting"], state["problems"]) == (0, [])
    after = read_survey(survey, plan_with_stations()).survey
    assert len(after.readings) == 4
    assert [(held.what, held.by) for held in after.held] == [("leak", "A. Keeper")]


def test_a_stop_is_signed_with_name_and_today(survey, folder):
    """Below the readings, above the last line; one the plan does not have gets its neighbour."""
    known = ("probe basking lamp", "leak", "burn-in")
    done = add_held(survey, {"what": "burn-in", "by": "yes", "note": "no: smell"}, None, known)
    assert (done.taken, done.first) == (1, 0)
    text = survey.read_text(encoding="utf-8")
    assert text.endswith("end: true                 # the last line\n")
    held = read_survey(survey).survey.held[0]
    assert (held.what, held.by, held.note) == ("burn-in", "yes", "no: smell")
    with pytest.raises(EntryError, match="burn-in") as caught:
        add_held(survey, {"what": "burnin", "by": "me"}, None, known)
    assert caught.value.problems[0].rule == "survey.hold-point"
    with pytest.raises(EntryError, match="by"):
        add_held(survey, {"what": "leak"}, None, known)
    survey.write_text(SOUND[:-50], encoding="utf-8")
    assert add_held(survey, {"what": "leak", "by": "me"}, None, known).waiting == 1
    survey.write_text(text, encoding="utf-8")
    assert take_in(survey).taken == 1
    assert [each.what for each in read_survey(survey).survey.held] == ["burn-in", "leak"]


def station(name, low, middle, high):
    return Station(
        number=1, name=name, place=name, at=(0.0, 0.0, 0.0), walls=(), hold="sensor up", way=None,
        reads=("uvi",), expected=(Expected("uvi", "UVI", low, middle, high),), narrowed=(), why="",
        kept=True,
    )  # fmt: skip


class Worked:
    """What a comparison would have found, at once."""

    def __init__(self, known):
        self.known, self.busy = known, False

    def ask(self, survey):
        """Nothing is worked out."""

    def close(self):
        """Nothing runs."""


def test_blind_hides_what_is_expected_until_it_was_read(folder, survey):
    """No answer holds the number of a station nobody has read; after entering it stands beside the reading."""
    survey.write_text(SOUND.replace("lit: [uv tube, basking lamp]\n", ""), encoding="utf-8")
    stations = {"1": station("1", 41.1, 42.2, 43.3), "left branch": station("left branch", 71.1, 72.2, 73.3)}
    shown, blind = (PhoneRound(folder, blind=blind, compare=False) for blind in (False, True))
    shown.comparison = blind.comparison = Worked(Known(stations=stations))
    assert "72.2" in json.dumps(shown.state())
    before = json.dumps(blind.state())
    assert "42.2" in before  # somebody read it
    assert not {each for each in ("71.1", "72.2", "73.3") if each in before}
    other = blind.enter(sent(1))
    assert "72.2" not in json.dumps(other)
    told = blind.enter(sent(2, at="left branch"))
    assert told["expected"] == ["UV index: expected 72.2 (71.1 to 73.3)"]
    assert "72.2" in json.dumps(blind.state())
    # With a lamp off or the mesh lifted another value is expected, and that one is not told.
    assert blind.enter(sent(3, mesh="lifted"))["expected"] == []


def test_a_reading_beside_the_plan_is_asked_about_where_it_cannot_be_right(folder, survey):
    """The worked-out value takes the place of the station's, and the question stands at the reading."""
    source = read_survey(survey, plan_with_stations())
    where = source.line_of(("readings", 0))
    reading = MeterReading(
        "dry", "1", np.zeros(3), "uvi", 24.0, "up", "club meter", 0.1, 0.05, (), False, None, 0.0, where
    )
    nan = float("nan")
    compared = SimpleNamespace(reading=reading, before=2.0, low=1.5, high=2.6, left_out="", odd=True)
    kept = SimpleNamespace(reading=reading, before=nan, low=nan, high=nan, left_out="too dark", odd=False)
    question = Slip("decimal point", "a decimal point: was it 2.4?", 2.4)
    phones = PhoneRound(folder, compare=False)
    phones.comparison = Worked(
        Known(compared={(where, "uvi"): compared}, slips={(where, "uvi"): (question,)})
    )
    first = phones.state()["stations"][0]
    assert first["state"] == "asked about"
    assert first["readings"][0]["asked"] == ["a decimal point: was it 2.4?"]
    assert first["readings"][0]["expected"] == ["UV index: read 2.4, expected 2.0 (1.5 to 2.6)"]
    phones.comparison = Worked(Known(compared={(where, "uvi"): kept}))
    told = phones.state()["stations"][0]["readings"][0]["expected"]
    assert told == ["UV index: not held against the plan; too dark"]
    assert Compared.__dataclass_fields__.keys() >= vars(compared).keys()


def test_the_newest_survey_is_compared_and_a_failure_stops_nothing(monkeypatch):
    """While one is worked out two more are asked about: the older of them is never begun."""
    begun, go = threading.Event(), threading.Event()
    seen = []

    def compare(self, ready, asked):
        del ready
        seen.append(asked)
        begun.set()
        assert go.wait(20)
        if asked == "c":
            raise ZeroDivisionError
        self._put(compared={("line", "uvi"): asked})

    plan = SimpleNamespace(plan=SimpleNamespace(stations=()))
    monkeypatch.setattr(round_comparison, "Resolved", lambda _: SimpleNamespace(brief="brief"))
    monkeypatch.setattr(Comparison, "_compare", compare)
    made = Comparison(plan)
    try:
        made.ask("a")
        assert begun.wait(20)
        for each in ("b", "c"):
            made.ask(each)
        assert made.busy
        go.set()
        assert made.wait(20)
        assert seen == ["a", "c"]
        assert made.known.why_not == "ZeroDivisionError: "
        made.ask("d")
        assert made.wait(20)
        assert (made.known.why_not, made.known.compared) == ("", {("line", "uvi"): "d"})
    finally:
        made.close()


def test_a_real_reading_ten_times_too_small_is_asked_about(folder, survey, monkeypatch):
    """Of the tall box, worked out beside: expected at the stations, and the decimal point of the odd one."""
    # Heat takes ten seconds more, and is held in tests/studies.
    monkeypatch.setattr(round_comparison, "seasons_of", lambda _: ())
    text = SOUND.replace(
        "{at: left branch, surface: 35 degC, with: thin probe", "{at: left branch, uvi: 5.0, with: club meter"
    )
    survey.write_text(text, encoding="utf-8")
    phones = PhoneRound(folder)
    try:
        assert phones.enter(sent(1, uvi="0,24"))["state"] == "taken"
        assert phones.comparison.wait(60)
        state = phones.state()
        assert state["comparing"] is False
        assert state["not_compared"] == ""
        assert state["stations"][1]["expected"][0].startswith("UV index: expected ")
        odd = state["stations"][0]["readings"][-1]
        assert any("decimal point" in words for words in odd["asked"]), odd
        assert [stop["key"] for stop in state["stops"]] == [
            point.key for point in hold_points(phones.comparison.known.brief, ())
        ]
        assert phones.hold({"id": "phone-a-stop", "what": "smell", "by": "A. Keeper"})["state"] == "taken"
        done = next(stop for stop in phones.state()["stops"] if stop["key"] == "smell")
        assert done["by"] == "A. Keeper"
    finally:
        phones.close()
