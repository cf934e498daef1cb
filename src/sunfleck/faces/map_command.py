"""The command that draws light."""

from __future__ import annotations

from pathlib import Path

import click

from sunfleck.faces.arguments import CHANNELS, PLAN, read, refuse_idle, surveys_of
from sunfleck.faces.printing import refusals


@click.command(name="map")
@PLAN
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for the pictures. [default: maps beside the plan]"
)
@click.option("--channel", type=click.Choice(CHANNELS), multiple=True, default=("uvi",), show_default=True)
@click.option("--format", "formats", type=click.Choice(["png", "svg"]), multiple=True, default=("png", "svg"))
@click.option("--dark", is_flag=True, help="Light on dark, for a screen in a dim room.")
@click.option("--day", is_flag=True, help="Add light up over the day, as timers light the lamps.")
@click.option(
    "--sheet", is_flag=True, help="One sheet (PDF) with all of a plan instead: pictures and verdicts."
)
@click.option(
    "--surveys",
    "with_surveys",
    is_flag=True,
    help="With what meters read: light before, with all surveys beside the plan, and what changed.",
)
def map_(
    plan: Path,
    out: Path | None,
    channel: tuple[str, ...],
    formats: tuple[str, ...],
    dark: bool,
    day: bool,
    sheet: bool,
    with_surveys: bool,
) -> None:
    """Draw PLAN's light: plan and elevation cuts, and every perch unrolled."""
    from sunfleck.service.drawing import draw_maps, draw_sheet  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.round_maps import draw_maps_of_round  # noqa: PLC0415  # --help must stay light

    with refusals(as_json=False):
        if sheet:
            idle = {"--format": "formats", "--dark": "dark", "--day": "day", "--surveys": "with_surveys"}
            refuse_idle(idle, "with --sheet, a PDF on white paper", "leave it out, or --sheet")
        source = read(plan)
        folder = out or (plan if plan.is_dir() else plan.parent) / "maps"
        if sheet:
            for each in dict.fromkeys(channel):
                click.echo(f"Wrote {draw_sheet(source, folder, each)}")
            return
        surveys = surveys_of(plan, source, wanted=with_surveys)
        if surveys:
            drawn = draw_maps_of_round(source, surveys, folder, channel, formats, dark=dark, day=day)
            for file in drawn:
                click.echo(f"Wrote {file}")
            return
        for file in draw_maps(source, folder, channel, formats, dark=dark, day=day):
            click.echo(f"Wrote {file}")
