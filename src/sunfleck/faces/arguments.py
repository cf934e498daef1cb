"""What several commands take: a plan, its surveys, channels; and options that would do nothing."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click
from click.core import ParameterSource

from sunfleck.errors import DomainError, SurveyError

if TYPE_CHECKING:
    from sunfleck.plan.read import PlanSource
    from sunfleck.plan.read_survey import SurveySource

PLAN = click.argument("plan", type=click.Path(path_type=Path), default=Path("plan.yaml"))
CHANNELS = ("uvi", "lux", "ppfd", "radiant")
SURVEYS = click.option(
    "--surveys",
    "with_surveys",
    is_flag=True,
    help="With what meters read, all surveys beside the plan: every range follows them.",
)


FIRST_RUN = (
    "First run on this machine: what computes light and motion is compiled, up to a minute, this once."
)


def read(plan: Path, *, computes: bool = True) -> PlanSource:
    """Read a plan; its problems are raised. Who then waits on a new machine for what `computes` is told why."""
    from sunfleck.plan.read import read_plan  # noqa: PLC0415  # --help must stay light

    source = read_plan(plan)
    if computes and sys.stderr.isatty():
        from sunfleck.geometry.kernels import compiled_before  # noqa: PLC0415  # --help must stay light

        if not compiled_before():
            click.echo(FIRST_RUN, err=True)
    return source


def surveys_of(plan: Path, source: PlanSource, *, wanted: bool) -> tuple[SurveySource, ...]:
    """Read the surveys beside a plan where they are wanted; that there are none is a refusal then.

    Raises
    ------
    SurveyError
        If there is none, or nothing was read in any.
    """
    from sunfleck.service.surveys import surveys_beside  # noqa: PLC0415  # --help must stay light

    if not wanted:
        return ()
    found = surveys_beside(plan, source)
    if not any(each.survey.readings for each in found):
        msg = f"no survey beside {plan} has a reading yet; `sunfleck survey add` enters one"
        raise SurveyError(msg)
    return found


def refuse_idle(options: dict[str, str], why: str, remedy: str) -> None:
    """Refuse options that were given and would do nothing.

    Parameters
    ----------
    options : dict of str to str
        Parameter by the option's name, as ``{"--out": "out"}``.
    why, remedy : str
        When they do nothing, and what to do instead.

    Raises
    ------
    DomainError
        Naming those that were given.
    """
    context = click.get_current_context()
    default = (ParameterSource.DEFAULT, ParameterSource.DEFAULT_MAP, None)
    given = [option for option, name in options.items() if context.get_parameter_source(name) not in default]
    if given:
        does = "do" if len(given) > 1 else "does"
        msg = f"{', '.join(given)} {does} nothing {why}; {remedy}"
        raise DomainError(msg)
