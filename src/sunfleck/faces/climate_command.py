"""The command about heat and air."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sunfleck.faces.arguments import PLAN, SURVEYS, read, refuse_idle, surveys_of
from sunfleck.faces.printing import AS_JSON, print_json, refusals


@click.command()
@PLAN
@AS_JSON
@click.option("--month", help="A day of that month instead of winter and summer, as `--month March`.")
@click.option("--more", is_flag=True, help="Chances, what makes ranges wide, and where targets come from.")
@click.option("--charts", is_flag=True, help="Draw charts instead: each kind of day, and the year.")
@click.option(
    "--out",
    type=click.Path(path_type=Path),
    help="Folder for the charts. [default: charts beside the plan]",
)
@click.option("--format", "formats", type=click.Choice(["png", "svg"]), multiple=True, default=("png", "svg"))
@click.option("--dark", is_flag=True, help="Charts light on dark, for a screen in a dim room.")
@SURVEYS
def climate(
    plan: Path,
    as_json: bool,
    month: str | None,
    more: bool,
    charts: bool,
    out: Path | None,
    formats: tuple[str, ...],
    dark: bool,
    with_surveys: bool,
) -> None:
    """Say how warm PLAN gets: basking spot, warm and cool end, night, failures, and where the heat goes."""
    from sunfleck.outputs.climate_words import climate_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service import cases  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.charts import draw_charts  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        if charts:
            refuse_idle({"--json": "as_json", "--more": "more"}, "with --charts", "leave it out, or --charts")
        else:
            idle = {"--out": "out", "--format": "formats", "--dark": "dark"}
            refuse_idle(idle, "without --charts", "add --charts to draw, or leave it out")
        source = read(plan)
        surveys = surveys_of(plan, source, wanted=with_surveys)
        if charts:
            folder = out or (plan if plan.is_dir() else plan.parent) / "charts"
            for file in draw_charts(source, folder, formats, dark=dark, month=month, surveys=surveys):
                click.echo(f"Wrote {file}")
            return
        report = cases.climate(source, month, surveys)
        if as_json:
            print_json(report.to_dict())
        else:
            text = climate_text(report, source.plan.show_units, cases.accepted(source), more=more)
            click.echo(text, nl=False)
        sys.exit(report.exit_code)
