"""The command about parts and doors."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from sunfleck.faces.arguments import PLAN, read, refuse_idle
from sunfleck.faces.printing import AS_JSON, print_json, refusals

if TYPE_CHECKING:
    from sunfleck.plan.read import PlanSource
    from sunfleck.studies.passage.told import PartPassage


@click.command()
@PLAN
@click.argument("item", required=False)
@click.option("--out-again", is_flag=True, help="Of one part: the way out past everything planted.")
@click.option(
    "--draw",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    help="Of one part: its way as numbered drawings (SVG, PDF) and for replay (JSON), into FOLDER.",
)
@click.option(
    "--template",
    type=click.Path(path_type=Path),
    metavar="FOLDER",
    help="Of one part: full-size templates of it and of the opening, to try with cardboard (PDF, DXF).",
)
@click.option("--dark", is_flag=True, help="With --draw: the SVG light on dark, for a dim room.")
@AS_JSON
def passage(
    plan: Path,
    item: str | None,
    out_again: bool,
    draw: Path | None,
    template: Path | None,
    dark: bool,
    as_json: bool,
) -> None:
    """Say whether each part of PLAN goes through its doors, how, in what order, and out again.

    With ITEM, the name of one part: its moves in full, the largest clearance it goes in with, and where a panel or
    board that does not go in can be cut so that it does. A panel that goes in only in pieces is drawn as these.

    Exit codes: 0 all go, 1 one cannot, 3 no way was found, 2 wrong input.
    """
    from sunfleck.outputs.passage_words import part_text, passage_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.passage import passage as asked  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        if item is None:
            of_one = {
                "--out-again": "out_again",
                "--draw": "draw",
                "--template": "template",
                "--dark": "dark",
            }
            refuse_idle(of_one, "without the name of a part", "name one, as `sunfleck passage PLAN ITEM`")
        if draw is None:
            refuse_idle({"--dark": "dark"}, "without --draw", "add --draw FOLDER, or leave it out")
        source = read(plan)
        if item is None:
            report = asked(source)
            if as_json:
                print_json(report.to_dict())
            else:
                click.echo(passage_text(report, source.plan.show_units), nl=False)
            sys.exit(report.exit_code)
        part = asked(source, item, out_again=out_again)
        written, untold = _files(source, part, draw, template, dark=dark)
        if as_json:
            print_json({**part.to_dict(), "files": [str(file) for file in written], "not_written": untold})
        else:
            click.echo(part_text(part, source.plan.show_units), nl=False)
            for line in [*untold, *(f"Wrote {file}" for file in written)]:
                click.echo(line)
        sys.exit(part.exit_code)


def _files(
    source: PlanSource, part: PartPassage, draw: Path | None, template: Path | None, *, dark: bool
) -> tuple[list[Path], list[str]]:
    """Files as written, and why others were not."""
    written: list[Path] = []
    untold: list[str] = []
    if draw is None and template is None:
        return written, untold
    from sunfleck.service import passage_drawing  # noqa: PLC0415  # what only words need must stay light

    if draw is not None:
        if part.goes or part.cuts:
            written += passage_drawing.draw_part(source, part, draw, dark=dark)
        else:
            untold.append(f"Nothing drawn: no way is known for {part.name}.")
    if template is not None:
        written += passage_drawing.template_part(source, part, template, untold.append)
    return written, untold
