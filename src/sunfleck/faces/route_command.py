"""The command about the way through the house."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from sunfleck.faces.arguments import PLAN, read
from sunfleck.faces.printing import AS_JSON, print_json, refusals


@click.command()
@PLAN
@AS_JSON
def route(plan: Path, as_json: bool) -> None:
    """Say whether PLAN's box gets through the house to its place: doors, corners, lift, ceiling; how, and by how many."""
    from sunfleck.outputs.route_words import route_text  # noqa: PLC0415  # --help must stay light
    from sunfleck.service.house import route_of  # noqa: PLC0415  # --help must stay light

    with refusals(as_json):
        source = read(plan, computes=False)
        found = route_of(source)
        if as_json:
            print_json(found.to_dict())
        else:
            click.echo(route_text(found, source.plan.show_units, source.plan.name), nl=False)
        sys.exit(found.exit_code)
