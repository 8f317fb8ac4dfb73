"""Sheets and files of a driver's view: display image, false colour, people by visibility, luminance files."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from scenelux.study.results import ViewResult

if TYPE_CHECKING:
    from scenelux.pictures.sheet import Sheet

__all__ = ["luminance_files", "view_sheets"]


def view_sheets(result: ViewResult, *, colours: str = "inferno") -> Iterator[tuple[str, Sheet]]:
    """Every sheet of a driver's view with its file name.

    Parameters
    ----------
    result : the pictures.
    colours : of the false-colour sheets, "inferno" or "cividis".
    """
    from scenelux.pictures.view.sheets import sheets_of_view

    return sheets_of_view(result, colours)


def luminance_files(result: ViewResult) -> Iterator[tuple[str, bytes]]:
    """Luminance of every picture in cd/m2, without and with the veil in the eye, as high dynamic range files.

    Parameters
    ----------
    result : the pictures.
    """
    from scenelux.pictures.view.hdr import files_of_view

    return files_of_view(result)
