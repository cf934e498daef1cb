"""Write the sheet that ends a meter round."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from sunfleck.outputs.signoff_sheet import signoff_sheet
from sunfleck.plan.read import PlanSource
from sunfleck.plan.read_survey import SurveySource
from sunfleck.service.sheet_files import sheet_format, write_pages
from sunfleck.studies.meter.report import MeterReport


def write_signoff_sheet(
    plan: PlanSource, surveys: Sequence[SurveySource], report: MeterReport, file: Path
) -> list[Path]:
    """Write the sign-off sheet as PDF, or as a picture a page.

    Parameters
    ----------
    plan : PlanSource
        The checked plan.
    surveys : sequence of SurveySource
        Its surveys.
    report : MeterReport
        What they say.
    file : Path
        Its ending says what is written: ``.pdf`` or ``.png``.

    Returns
    -------
    files : list of Path
        What was written.

    Raises
    ------
    DomainError
        If the ending is another.
    SunfleckError
        If it cannot be written, or the drawing library is not installed.
    """
    kind = sheet_format(file)
    return write_pages(signoff_sheet(report, surveys, plan.plan.show_units, kind), file)
