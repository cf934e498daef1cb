"""The command about photometric files."""

from __future__ import annotations

from pathlib import Path

import click

from sunfleck.faces.printing import AS_JSON, print_json, refusals


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--out", type=click.Path(path_type=Path), help="Folder for a polar diagram; none is drawn without it."
)
@click.option("--format", "formats", type=click.Choice(["png", "svg"]), multiple=True, default=("png", "svg"))
@click.option("--dark", is_flag=True, help="Light on dark, for a screen in a dim room.")
@AS_JSON
def photometry(file: Path, out: Path | None, formats: tuple[str, ...], dark: bool, as_json: bool) -> None:
    """Read a lamp's photometric FILE (IES LM-63 or EULUMDAT): its light, how it is spread, and whether it adds up."""
    from sunfleck.outputs.photometry_words import photometry_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.photometry import describe, draw  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        report = describe(file)
        if as_json:
            print_json({"schema": 1, **report.to_dict()})
        else:
            click.echo(photometry_text(report), nl=False)
        if out is not None:
            for drawn in draw(file, out, formats, dark=dark):
                click.echo(f"Wrote {drawn}", err=as_json)
