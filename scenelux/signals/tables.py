"""The tables of shared/ that signals need."""

from __future__ import annotations

import tomllib
from functools import cache
from typing import Any, Literal

from scenelux.shipped import shipped

__all__ = ["signal_table"]


@cache
def signal_table(name: Literal["flash-patterns", "arrow-boards", "warning-requirements"]) -> dict[str, Any]:
    """A document of shared/ as it stands.

    Example
    -------
    >>> signal_table("arrow-boards")["title"]
    'Arrow boards'
    """
    return tomllib.loads((shipped("shared") / f"{name}.toml").read_text(encoding="utf-8"))
