"""The command that takes readings into a plan and answers everything anew."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sunfleck.faces.printing import AS_JSON, print_json, refusals


@click.command()
@click.argument("plan", type=click.Path(path_type=Path))
@click.option(
    "--survey", "names", multiple=True, help="Only this survey, by name; may be given twice. [default: all]"
)
@click.option(
    "--sheet", type=click.Path(path_type=Path), help="Write the sign-off sheet, as FILE.pdf or FILE.png."
)
@AS_JSON
def calibrate(plan: Path, names: tuple[str, ...], sheet: Path | None, as_json: bool) -> None:
    """Take the readings in PLAN's surveys into it: which lamp is weak, which reading cannot be right, what now meets."""
    from sunfleck.outputs.meter_words import meter_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.plan.read import read_plan  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.meter_round import meter_round  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.sheet_files import sheet_format  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.signoff import write_signoff_sheet  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.surveys import surveys_beside  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        if sheet is not None:
            sheet_format(sheet)  # refused before anything is computed
        source = read_plan(plan)
        surveys = surveys_beside(plan, source, names)
        report = meter_round(source, surveys)
        if as_json:
            print_json(report.to_dict())
        else:
            click.echo(meter_text(report, source.plan.show_units), nl=False)
        if sheet is not None:
            for file in write_signoff_sheet(source, surveys, report, sheet):
                click.echo(f"Wrote {file}", err=as_json)
        sys.exit(report.exit_code)
