"""Finds the data that travels with scenelux: in a checkout at its top, in a wheel inside the package."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

__all__ = ["shipped"]

_PACKAGE = Path(__file__).resolve().parent


def shipped(folder: Literal["luminaires", "scenes", "shared"]) -> Path:
    """Folder of shipped data, the same from any working directory.

    Example
    -------
    >>> (shipped("shared") / "criteria").is_dir()
    True
    """
    inside = _PACKAGE / "_shipped" / folder
    return inside if inside.is_dir() else _PACKAGE.parent / folder
