"""Pictures of a study: one lux scale, one sheet layout, drawn through matplotlib's Figure."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from scenelux.study.results import StudyResult

if TYPE_CHECKING:  # matplotlib takes a second to import, and reading words must not wait for it
    from scenelux.pictures.sheet import Sheet

__all__ = ["comparison_sheets", "study_sheets"]


def study_sheets(
    result: StudyResult, *, colours: str = "inferno", every_light: bool = False
) -> Iterator[tuple[str, Sheet]]:
    """Every sheet of a study, one at a time: plan maps, area values and glare along the approach.

    Parameters
    ----------
    result : the study; each of its variants is drawn.
    colours : "inferno" or "cividis", both legible in grey and for colour-blind readers.
    every_light : draw every light level of every state and every area, not only those that the rules judge most.
    """
    from scenelux.pictures.sheets import sheets_of_study

    return sheets_of_study(result, colours, every_light)


def comparison_sheets(
    result: StudyResult, first: str, second: str, *, colours: str = "inferno"
) -> Iterator[tuple[str, Sheet]]:
    """Every sheet that shows two variants side by side on one scale, with their difference.

    Parameters
    ----------
    result : the study that holds both variants.
    first, second : names of the variants; the second is measured against the first.
    colours : "inferno" or "cividis".
    """
    from scenelux.pictures.sheets import sheets_of_comparison

    return sheets_of_comparison(result, first, second, colours)
