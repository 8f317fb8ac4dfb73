"""Names that a scene may use from the shipped tables: surfaces of the ground, and published rules."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path

from scenelux.scene.criteria import OWN_QUANTITIES
from scenelux.shipped import shipped

__all__ = ["rule_subjects", "surface_names"]


@cache
def surface_names() -> tuple[str, ...]:
    """Names of the shipped surfaces, in their order.

    Example
    -------
    >>> "wet asphalt" in surface_names()
    True
    """
    return tuple(_table(shipped("shared") / "surfaces.toml")["surfaces"])  # type: ignore[arg-type]


@cache
def rule_subjects() -> dict[str, str]:
    """Name of every shipped rule -> what it is judged on: area, eye or lamp.

    Example
    -------
    >>> rule_subjects()["nfpa_rear_minimum"]
    'area'
    """
    subjects: dict[str, str] = {}
    for file in sorted((shipped("shared") / "criteria").glob("*.toml")):
        for row in _table(file)["rules"]:  # type: ignore[attr-defined]
            subjects[row["id"]] = OWN_QUANTITIES[row["quantity"]][0] if row["quantity"] in OWN_QUANTITIES else "lamp"
    return subjects


def _table(file: Path) -> dict[str, object]:
    return tomllib.loads(file.read_text(encoding="utf-8"))
