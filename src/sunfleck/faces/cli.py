"""The command line. Every command calls the service and turns refusals into a line and an exit code."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sunfleck import __version__
from sunfleck.faces.arguments import CHANNELS, PLAN, SURVEYS, read, surveys_of
from sunfleck.faces.climate_command import climate
from sunfleck.faces.library_commands import library_group
from sunfleck.faces.map_command import map_
from sunfleck.faces.meter_command import calibrate
from sunfleck.faces.new_command import new
from sunfleck.faces.open_command import open_
from sunfleck.faces.passage_command import passage
from sunfleck.faces.photometry_command import photometry
from sunfleck.faces.printing import AS_JSON, print_json, refusals
from sunfleck.faces.route_command import route
from sunfleck.faces.station_commands import stations
from sunfleck.faces.survey_commands import survey_group

if TYPE_CHECKING:
    from sunfleck.studies.channels import Channel

# The engine spreads receivers over threads itself; numpy's own, waiting beside them for small products, cost as much
# again and save nothing (measured: 1.2 instead of 2.0 s of processor time a check). Read when numpy is loaded, later.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")


@click.group(context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="sunfleck")
def main() -> None:
    """Know what light, UV and heat an animal gets in its enclosure before you build it.

    Start with `sunfleck new FOLDER`, edit FOLDER/plan.yaml, then `sunfleck check FOLDER`.

    Exit codes of check: 0 every verdict meets, 1 one is short or over, 3 the worst is unknown or nothing is judged,
    2 wrong input.
    """
    for stream in (sys.stdout, sys.stderr):
        # A terminal that cannot show a sign gets a substitute, not a crash.
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


@main.command()
@PLAN
@AS_JSON
@click.option("--more", is_flag=True, help="Chances, what makes ranges wide, and where targets come from.")
@click.option("--light", is_flag=True, help="Light only: quicker, and says nothing of temperatures.")
@SURVEYS
def check(plan: Path, as_json: bool, more: bool, light: bool, with_surveys: bool) -> None:
    """Check PLAN: does every animal get what it needs, and nothing it must not get?"""
    from sunfleck.outputs.words import report_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service import cases  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        source = read(plan)
        surveys = surveys_of(plan, source, wanted=with_surveys)
        report = cases.check_light(source, surveys) if light else cases.check(source, surveys)
        if as_json:
            print_json(report.to_dict())
        else:
            click.echo(report_text(report, source.plan.show_units, more=more), nl=False)
        sys.exit(report.exit_code)


@main.command()
@PLAN
@click.argument("number_id")
@AS_JSON
@SURVEYS
def explain(plan: Path, number_id: str, as_json: bool, with_surveys: bool) -> None:
    """Take one number of PLAN's report apart: the factors that multiply out to it, with their sources.

    NUMBER_ID is an id from `sunfleck check --json`, or one of those in [brackets] that `check` prints.
    """
    from sunfleck.outputs.words import trace_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service import cases  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.meter_round import names_of_rounds  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        source = read(plan)
        surveys = surveys_of(plan, source, wanted=with_surveys)
        number = cases.explain(source, number_id, surveys)
        used, too_old = names_of_rounds(source, surveys)
        if as_json:
            told = {"schema": 1, "id": number.id, "label": number.label, "surveys": list(used)}
            print_json({**told, "trace": number.trace().to_dict()})
        else:
            click.echo(trace_text(number, used, too_old), nl=False)


@main.command()
@PLAN
@click.option("--channel", type=click.Choice(CHANNELS), default="radiant", show_default=True)
@AS_JSON
def watts(plan: Path, channel: Channel, as_json: bool) -> None:
    """Say where the power of each of PLAN's lamps ends: on which surface, in which pane, out of the box."""
    from sunfleck.outputs.power_words import power_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service import cases  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        balances = cases.power(read(plan), channel)
        if as_json:
            print_json({"schema": 1, "lamps": [balance.to_dict() for balance in balances]})
        else:
            click.echo(power_text(balances), nl=False)


@main.command()
@PLAN
@click.option(
    "--of", "of", help="Only for the verdict of this id, one of those in [brackets] that `check` prints."
)
@AS_JSON
@click.option("--light", is_flag=True, help="Light only: quicker, and says nothing of what becomes of heat.")
def remedies(plan: Path, of: str | None, as_json: bool, light: bool) -> None:
    """Try changes of PLAN that turn what is too low, too high or not known; cheapest first."""
    from sunfleck.outputs.remedy_words import remedies_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.remedies import find_remedies  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        source = read(plan)
        report, found = find_remedies(source, of, light=light)
        if as_json:
            print_json(
                {"schema": 1, "exit_code": report.exit_code, "verdicts": [one.to_dict() for one in found]}
            )
        else:
            click.echo(remedies_text(report, found, source.plan.show_units, of), nl=False)
        sys.exit(report.exit_code)


@main.command()
@click.option("--of", "of", type=click.Choice(["plan", "survey"]), default="plan", show_default=True)
def schema(of: str) -> None:
    """Print the format of plans or surveys as JSON Schema, for an editor that completes and checks as you type."""
    from sunfleck.plan import models, surveys  # noqa: PLC0415  # --help must stay light

    print_json(surveys.json_schema() if of == "survey" else models.json_schema())


main.add_command(new)
main.add_command(climate)
main.add_command(route)
main.add_command(passage)
main.add_command(map_)
main.add_command(library_group)
main.add_command(photometry)
main.add_command(survey_group)
main.add_command(stations)
main.add_command(open_)
main.add_command(calibrate)
