"""The command about marked measuring points."""

from __future__ import annotations

from pathlib import Path

import click

from sunfleck.faces.printing import AS_JSON, print_json, refusals


@click.command()
@click.argument("plan", type=click.Path(path_type=Path), default=Path("plan.yaml"))
@click.option(
    "--count",
    type=click.IntRange(1, 40),
    default=6,
    show_default=True,
    help="How many stations of light; those for thermometers come on top.",
)
@click.option(
    "--blind", is_flag=True, help="Leave out what is expected, so that nobody reads what they want to see."
)
@click.option("--meter", help="With which meter you read light. [default: the one of the plan's readings]")
@click.option(
    "--sheet",
    type=click.Path(path_type=Path),
    help="Write a sheet to take to the box, as FILE.pdf or FILE.png.",
)
@click.option("--light", is_flag=True, help="Quicker: not what thermometers will show.")
@AS_JSON
def stations(
    plan: Path, count: int, blind: bool, meter: str | None, sheet: Path | None, light: bool, as_json: bool
) -> None:
    """Say where in PLAN to hold the meter: few places within an arm's length that tell most about its verdicts."""
    from sunfleck.outputs.station_words import stations_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.plan.read import read_plan  # noqa: PLC0415  # --help must stay light
    from sunfleck.service import stations as service  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.sheet_files import sheet_format  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        if sheet is not None:
            sheet_format(sheet)  # refused before anything is computed
        source = read_plan(plan)
        found = service.stations(source, count, meter=meter, light=light)
        if as_json:
            print_json(found.to_dict(blind=blind))
        else:
            click.echo(stations_text(found, blind=blind), nl=False)
        if sheet is not None:
            for file in service.write_station_sheet(source, found, sheet, blind=blind):
                click.echo(f"Wrote {file}", err=as_json)
