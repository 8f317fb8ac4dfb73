"""Names that a scene may use from the shipped tables: surfaces, clothing, sheeting, colours and published rules."""

from __future__ import annotations

import tomllib
from functools import cache
from pathlib import Path
from typing import Any

from scenelux.scene.criteria import OWN_QUANTITIES
from scenelux.shipped import shipped

__all__ = [
    "clothing_names",
    "default_covers",
    "paint_colours",
    "requirement_names",
    "rule_subjects",
    "sheeting_colours",
    "surface_names",
]

_OF_A_CELL = ("status", "source", "note")


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
def clothing_names() -> tuple[str, ...]:
    """Kinds of clothing whose reflectance is known.

    Example
    -------
    >>> "dark coat or denim" in clothing_names()
    True
    """
    return tuple(_table(shipped("shared") / "visibility.toml")["clothing"])  # type: ignore[arg-type]


@cache
def paint_colours() -> tuple[str, ...]:
    """Colours whose diffuse reflectance is known.

    Example
    -------
    >>> "orange" in paint_colours()
    True
    """
    colours = _table(shipped("shared") / "objects.toml")["colours"]
    return tuple(colours["reflectance"])  # type: ignore[index]


@cache
def default_covers() -> dict[str, tuple[str, tuple[str, ...]]]:
    """Kind of object -> the retroreflective material on it and its colours, where the scene names none.

    Example
    -------
    >>> default_covers()["panel"]
    ('astm-d4956-i', ('red', 'yellow'))
    """
    kinds = _table(shipped("shared") / "objects.toml")["kinds"]
    return {name: (kind["sheeting"], tuple(kind["colours"])) for name, kind in kinds.items()}  # type: ignore[attr-defined]


@cache
def sheeting_colours() -> dict[str, tuple[str, ...]]:
    """Name of every retroreflective material -> its colours.

    Example
    -------
    >>> sheeting_colours()["vehicle-tape-c2"]
    ('white', 'red')
    """
    materials = _table(shipped("shared") / "retroreflection.toml")["materials"]
    return {name: _colours(material["cells"]) for name, material in materials.items()}  # type: ignore[attr-defined]


def _colours(cells: list[dict[str, object]]) -> tuple[str, ...]:
    keys = (key for cell in cells for key in cell if key not in _OF_A_CELL and not key.endswith(("_deg", "_arcmin")))
    return tuple(dict.fromkeys(keys))


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


@cache
def requirement_names() -> tuple[str, ...]:
    """Published requirements of warning lamps that a scene may name: limits, on-times, spans, and rates.

    Example
    -------
    >>> "kkk_span" in requirement_names() and "arrow-board" in requirement_names()
    True
    """
    table: dict[str, list[dict[str, Any]]] = _table(shipped("shared") / "warning-requirements.toml")  # type: ignore[assignment]
    rates: dict[str, list[dict[str, Any]]] = _table(shipped("shared") / "flash-patterns.toml")  # type: ignore[assignment]
    rows = [row for one in table["sets"] for row in one["rows"]]
    return tuple(row["id"] for row in (*rows, *table["on_times"], *table["spans"], *rates["rates"]))
