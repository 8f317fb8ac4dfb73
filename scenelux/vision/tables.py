"""The tables of shared/ that formulas of this stage need."""

from __future__ import annotations

import tomllib
from functools import cache
from typing import Any, Literal

from scenelux.shipped import shipped

__all__ = ["vision_table"]


@cache
def vision_table(name: Literal["retroreflection", "natural-light"]) -> dict[str, Any]:
    """A document of shared/ as it stands.

    Example
    -------
    >>> vision_table("natural-light")["title"]
    'Natural light'
    """
    return tomllib.loads((shipped("shared") / f"{name}.toml").read_text(encoding="utf-8"))
