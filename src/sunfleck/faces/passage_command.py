"""The command about parts and doors."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sunfleck.faces.arguments import PLAN, read
from sunfleck.faces.printing import AS_JSON, print_json, refusals


@click.command()
@PLAN
@click.argument("item", required=False)
@click.option("--out-again", is_flag=True, help="Of one part: the way out past everything planted.")
@AS_JSON
def passage(plan: Path, item: str | None, out_again: bool, as_json: bool) -> None:
    """Say whether each part of PLAN goes through its doors, how, in what order, and out again.

    With ITEM, the name of one part, its moves in full and the largest clearance it goes in with.

    Exit codes: 0 all go, 1 one cannot, 3 no way was found, 2 wrong input.
    """
    from sunfleck.errors import DomainError  # noqa: PLC0415  # --help must stay light
    from sunfleck.outputs.passage_words import part_text, passage_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.passage import passage as asked  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        if out_again and item is None:
            msg = "--out-again is of one part; name it, or leave it out: without a part both ways are told"
            raise DomainError(msg)
        source = read(plan)
        if item is None:
            report = asked(source)
            if as_json:
                print_json(report.to_dict())
            else:
                click.echo(passage_text(report, source.plan.show_units), nl=False)
            sys.exit(report.exit_code)
        part = asked(source, item, out_again=out_again)
        if as_json:
            print_json(part.to_dict())
        else:
            click.echo(part_text(part, source.plan.show_units), nl=False)
        sys.exit(part.exit_code)
