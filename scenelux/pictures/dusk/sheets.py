"""Every sheet of switching with its file name."""

from __future__ import annotations

from collections.abc import Iterator

from scenelux.names import slug
from scenelux.pictures.dusk.matrix import matrix_sheets
from scenelux.pictures.dusk.strip import strip_sheet
from scenelux.pictures.sheet import Sheet
from scenelux.study.results.dusk import DuskResult

__all__ = ["dusk_sheets"]


def dusk_sheets(result: DuskResult) -> Iterator[tuple[str, Sheet]]:
    """The state matrix, then a strip chart for each evening.

    Parameters
    ----------
    result : of the switching.
    """
    yield from matrix_sheets(result)
    for one in result.timelines:
        yield f"{slug('evening', one.name)}.png", strip_sheet(result, one)
