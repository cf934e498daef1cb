"""What all commands share: how a refusal and JSON are printed."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import click

from sunfleck.document.problem import PlanError
from sunfleck.errors import SunfleckError

WRONG_INPUT = 2
AS_JSON = click.option("--json", "as_json", is_flag=True, help="Print JSON for a program instead of text.")


@contextmanager
def refusals(as_json: bool) -> Iterator[None]:
    """Turn a refusal into its text and exit code 2."""
    try:
        yield
    except PlanError as error:
        if as_json:
            print_json({"schema": 1, "exit_code": 2, "problems": [p.to_dict() for p in error.problems]})
        else:
            click.echo(str(error), err=True)
        sys.exit(WRONG_INPUT)
    except SunfleckError as error:
        if as_json:
            print_json({"schema": 1, "exit_code": 2, "error": str(error)})
        else:
            click.echo(str(error), err=True)
        sys.exit(WRONG_INPUT)


def print_json(plain: Any) -> None:
    """Print plain data as JSON."""
    click.echo(json.dumps(plain, ensure_ascii=False, indent=2, allow_nan=False))
