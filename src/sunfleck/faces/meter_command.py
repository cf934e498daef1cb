"""The command that takes readings into a plan and answers everything anew."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sunfleck.errors import SurveyError
from sunfleck.faces.printing import AS_JSON, print_json, refusals


@click.command()
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "--survey", "names", multiple=True, help="Only this survey, by name; may be given twice. [default: all]"
)
@AS_JSON
def calibrate(plan: Path, names: tuple[str, ...], as_json: bool) -> None:
    """Take the readings in PLAN's surveys into it: which lamp is weak, which reading cannot be right, what now meets."""
    from sunfleck.outputs.meter_words import meter_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.plan.read import read_plan  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.meter_round import meter_round  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.surveys import read_surveys  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        source = read_plan(plan)
        surveys = read_surveys(plan, source, names)
        if not surveys:
            msg = f"there is no survey beside {plan} yet; `sunfleck survey new` begins one"
            raise SurveyError(msg)
        report = meter_round(source, surveys)
        if as_json:
            print_json(report.to_dict())
        else:
            click.echo(meter_text(report, source.plan.show_units), nl=False)
        sys.exit(report.exit_code)
