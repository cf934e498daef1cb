"""Commands about surveys: begin one, enter readings one by one or as a table, list them, show one."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sunfleck.faces.page_command import page
from sunfleck.faces.printing import AS_JSON, WRONG_INPUT, print_json, refusals

if TYPE_CHECKING:
    from sunfleck.document.problem import Problem
    from sunfleck.plan.read import PlanSource
    from sunfleck.service.surveys import Entered, SurveyFile
    from sunfleck.units import System

PLAN = click.argument("plan", type=click.Path(path_type=Path))
SURVEY = click.option("--survey", "name", help="Which survey, by name. [default: the newest]")


@click.group(name="survey")
def survey_group() -> None:
    """Write down what meters read in the box: surveys, in the folder `surveys` beside a plan.

    Begin with `sunfleck survey new PLAN --kind dry --by NAME`, then `instrument`, then `add` or `csv`.
    """


survey_group.add_command(page)


@survey_group.command()
@PLAN
@click.option(
    "--kind",
    type=click.Choice(["dry", "final", "later"]),
    required=True,
    help="dry: before plants; final: before the animal.",
)
@click.option("--by", required=True, help="Who reads the meters.")
@click.option("--name", help="What the survey is called besides its date. [default: its kind]")
@click.option("--date", help="Day of the readings, as 2026-11-26. [default: today]")
@click.option("--room", help="How warm the room is, as `21 degC`.")
@click.option("--room-humidity", help="Relative humidity of the room, as `40 %`.")
@click.option("--warm-up", help="How long the lamps had been on, as `45 min`.")
@click.option("--note", help="Anything else.")
@AS_JSON
def new(
    plan: Path, kind: str, by: str, name: str | None, date: str | None, as_json: bool, **more: str | None
) -> None:
    """Begin a survey of PLAN. Its instruments are those of the survey before."""
    from sunfleck.service.surveys import new_survey  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        given = {key: value for key, value in more.items() if value is not None}
        file = new_survey(plan, date, name, kind, by, **given)
        if as_json:
            print_json({"schema": 1, "file": str(file), "name": file.stem})
        else:
            click.echo(f"Wrote {file}")
            click.echo(f"Next:  sunfleck survey add {plan} at=STATION uvi=2.4 with=METER")


@survey_group.command()
@PLAN
@click.argument("fields", nargs=-1, required=True, metavar="KEY=VALUE...")
@SURVEY
@AS_JSON
def instrument(plan: Path, fields: tuple[str, ...], name: str | None, as_json: bool) -> None:
    """Enter an instrument: name, reads, accuracy, and what it is corrected by.

    As `name="club meter" reads=uvi,lux accuracy="10 %" calibrated=2026-03-01 factor=0.95` for light,
    `name=probe reads=air,surface accuracy="0.5 K" offset="0.3 K"` for temperatures, and for a hygrometer
    `name=hygrometer reads=humidity accuracy="3 %" salt="sodium chloride" salt_read="78 %" salt_at="21 degC"`.
    """
    from sunfleck.service.surveys import add_instrument, find_survey  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        typed = _typed(fields)
        found = find_survey(plan, name)
        _told(add_instrument(found.file, typed), as_json)


@survey_group.command()
@PLAN
@click.argument("fields", nargs=-1, required=True, metavar="KEY=VALUE...")
@SURVEY
@AS_JSON
def add(plan: Path, fields: tuple[str, ...], name: str | None, as_json: bool) -> None:
    """Enter a reading: where, what was read, with which meter.

    As `at=1 uvi=2.4 with="club meter"`; `at` is a station of the plan or a point, `at="52 cm, 38 cm, 45 cm"`. Keys:
    at, uvi, lux, ppfd, surface, air, humidity, with, mesh, lit, hold, time, note.
    """
    from sunfleck.service.surveys import add_readings, find_survey  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        typed = _typed(fields)
        found = find_survey(plan, name)
        before = len(found.source.survey.readings) if found.source is not None else None
        _told(add_readings(found.file, [typed], _plan(plan)), as_json, before)


@survey_group.command(name="csv")
@PLAN
@click.argument("file", type=click.Path(path_type=Path))
@SURVEY
@AS_JSON
def csv_(plan: Path, file: Path, name: str | None, as_json: bool) -> None:
    """Enter a table of readings from FILE: all of it, or nothing and all that is wrong with it.

    The first line names the columns as `survey add` names its keys, with a unit in brackets where cells have none:
    `at;surface [degC];with`. Commas, semicolons or tabs stand between cells; with the latter two, 2,4 is 2.4.
    """
    from sunfleck.document.problem import EntryError  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.survey_csv import table_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.surveys import add_readings, find_survey, read_csv  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        text = table_text(file)
        found = find_survey(plan, name)
        source = _plan(plan)
        readings = read_csv(found.file, text, str(file), source)
        if readings.problems:
            raise EntryError(readings.problems)
        before = len(found.source.survey.readings) if found.source is not None else None
        _told(add_readings(found.file, readings.entries, source), as_json, before)


@survey_group.command()
@PLAN
@click.argument("what")
@click.option("--by", required=True, help="Who tested it.")
@click.option("--note", default="", help="Anything else.")
@SURVEY
@AS_JSON
def held(plan: Path, what: str, by: str, note: str, name: str | None, as_json: bool) -> None:
    """Sign WHAT was tested before an animal moves in, as `leak` or `burn-in`; today's date is set.

    `sunfleck calibrate PLAN` lists what is to be tested, and what is not done yet.
    """
    from sunfleck.service.meter_round import stops  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.surveys import add_held, find_survey  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        found = find_survey(plan, name)
        source = _plan(plan)
        known = tuple(stop.key for stop in stops(source)) if source is not None else ()
        fields = {"what": what, "by": by, "note": note}
        _told(add_held(found.file, fields, source, known), as_json)


@survey_group.command(name="list")
@PLAN
@AS_JSON
def list_(plan: Path, as_json: bool) -> None:
    """List the surveys of PLAN."""
    from sunfleck.outputs.survey_words import survey_list_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.surveys import plain  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        files = _taken_in(plan, as_json)
        if as_json:
            print_json({"schema": 1, "surveys": [dict(plain(each, readings=False)) for each in files]})
        else:
            rows = [(each.name, each.source, len(each.problems), each.waiting) for each in files]
            click.echo(survey_list_text(rows), nl=False)


@survey_group.command()
@PLAN
@click.argument("name", required=False)
@click.option("--units", type=click.Choice(["metric", "us"]), help="[default: those of the plan]")
@AS_JSON
def show(plan: Path, name: str | None, units: str | None, as_json: bool) -> None:
    """Show a survey of PLAN: its readings as a table, and what looks like a slip. The newest without NAME."""
    from sunfleck.document.problem import PlanError  # noqa: PLC0415  # --help must stay light
    from sunfleck.outputs.survey_words import survey_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.plan.read_survey import read_survey  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.survey_slips import slips_in  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.surveys import corrections_of, find_survey, plain  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        _taken_in(plan, as_json)
        found = find_survey(plan, name)
        source = _plan(plan)
        if found.source is None:
            raise PlanError(found.problems)
        survey = read_survey(found.file, source)
        slips = slips_in(survey)
        if as_json:
            asked = [slip.to_dict() for slip in slips]
            print_json({"schema": 1, **plain(found, readings=True), "asked": asked})
            return
        plans = source.plan.show_units if source is not None else "metric"
        system: System = "us" if (units or plans) == "us" else "metric"
        click.echo(survey_text(survey, system, corrections_of(survey)), nl=False)
        for slip in slips:
            click.echo(f"{slip.where}: {slip.question}")


def _typed(fields: tuple[str, ...]) -> dict[str, str]:
    """Split KEY=VALUE; what cannot be split is a problem like any other."""
    from sunfleck.document.problem import EntryError, Problem  # noqa: PLC0415  # --help must stay light

    typed: dict[str, str] = {}
    problems: list[Problem] = []
    for number, word in enumerate(fields, 1):
        key, equals, value = word.partition("=")
        key = key.strip()
        if not equals or not key:
            needed = (
                'a key, the sign = and a value, in quotes where it holds spaces, such as with="club meter"'
            )
            problems.append(Problem("entry.word", "the entry", 1, number, word[:60], needed, None, "entry"))
        elif key in typed:
            problems.append(Problem("entry.word", key, 1, number, word[:60], "each key once", None, "entry"))
        typed[key] = value
    if problems:
        raise EntryError(problems)
    return typed


def _plan(plan: Path) -> PlanSource | None:
    """Read the plan; one with problems does not keep readings from being entered, only names from being looked up."""
    from sunfleck.document.problem import PlanError  # noqa: PLC0415  # --help must stay light
    from sunfleck.plan.read import read_plan  # noqa: PLC0415  # --help must stay light

    try:
        return read_plan(plan)
    except PlanError as error:
        number = len(error.problems)
        count = f"{number} problem{'s' if number != 1 else ''}"
        click.echo(f"{plan} has {count} (`sunfleck check`); names were not looked up.", err=True)
        return None


def _taken_in(plan: Path, as_json: bool) -> tuple[SurveyFile, ...]:
    """Take in what waits, and read all surveys of a plan."""
    from sunfleck.outputs.survey_words import entered_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.surveys import survey_files, take_in  # noqa: PLC0415  # --help must stay light

    files = survey_files(plan)
    for each in files:
        if each.waiting:
            done = take_in(each.file, _plan(plan))
            click.echo(entered_text(each.name, done.taken, done.waiting, done.why), nl=False, err=True)
    return survey_files(plan) if any(each.waiting for each in files) else files


def _told(done: Entered, as_json: bool, before: int | None = None) -> None:
    """Tell what became of entries, and ask about what looks like a slip among them."""
    from sunfleck.outputs.survey_words import entered_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.plan.read_survey import read_survey  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.survey_slips import slips_in  # noqa: PLC0415  # --help must stay light

    slips = slips_in(read_survey(done.file), before) if before is not None and done.taken else ()
    if as_json:
        print_json(
            {
                "schema": 1,
                "file": str(done.file),
                "taken": done.taken,
                "waiting": done.waiting,
                "why": [problem.to_dict() for problem in done.why],
                "asked": [slip.to_dict() for slip in slips],
            }
        )
    else:
        click.echo(entered_text(done.file.stem, done.taken, done.waiting, done.why), nl=False)
        for slip in slips:
            click.echo(f"{slip.where}: {slip.question}")
    if done.waiting:
        sys.exit(WRONG_INPUT)
