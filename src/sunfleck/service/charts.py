"""Draw a plan's climate into a folder."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from sunfleck.errors import SunfleckError
from sunfleck.outputs.climate_charts import write_climate_charts
from sunfleck.outputs.drawing_library import require_drawing_library
from sunfleck.outputs.pictures import require_formats
from sunfleck.plan.read import PlanSource
from sunfleck.plan.read_survey import SurveySource
from sunfleck.service.cases import climate
from sunfleck.studies.climate.courses import animals_of, day_course, year_course
from sunfleck.studies.climate.year import year_of


def draw_charts(
    source: PlanSource,
    folder: Path,
    formats: tuple[str, ...],
    dark: bool = False,
    month: str | None = None,
    surveys: Sequence[SurveySource] = (),
) -> tuple[Path, ...]:
    """Write the charts of a plan's climate: for each animal its days, and its year where the room is known all year.

    Parameters
    ----------
    source : PlanSource
        The checked plan.
    folder : Path
        Where; created when missing.
    formats : tuple of str
        ``png``, ``svg``.
    dark : bool
        Light on dark.
    month : str, optional
        A month in English, for a day of that month only.
    surveys : sequence of SurveySource, optional
        What meters read in the box, as :func:`sunfleck.read_surveys` returns it.

    Returns
    -------
    files : tuple of Path
        What was written.

    Raises
    ------
    SunfleckError
        If the plan does not say how warm its room is, the folder cannot be written to, a format is not known, or the
        drawing library is not installed.
    """
    # Before the days are run: these take seconds.
    require_formats(formats)
    require_drawing_library()
    report = climate(source, month, surveys)
    if report.lacks:
        msg = f"nothing can be drawn: {report.lacks}"
        raise SunfleckError(msg)
    numbers = {id_: number.value for id_, number in report.numbers().items()}
    animals = animals_of(report)
    year = year_of(report.model) if month is None else ()
    days = [day_course(animal, worlds, numbers) for animal in animals for worlds in animal.seasons]
    years = [year_course(animal, year, numbers) for animal in animals] if year else []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return write_climate_charts(days, years, folder, formats, source.plan.show_units, dark=dark)
    except OSError as error:
        msg = f"cannot write into {folder}: {error.strerror or error}"
        raise SunfleckError(msg) from error
