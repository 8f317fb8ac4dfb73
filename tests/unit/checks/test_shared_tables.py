"""Every number of the shared tables has a status and a source."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from scenelux.shipped import shipped

FILES = sorted(shipped("shared").rglob("*.toml"))
STATUSES = {"published", "quoted", "unconfirmed", "invented"}
OF_CASES = STATUSES | {"calculated", "library"}


def numbers(
    node: object, above: tuple[dict[str, object], ...], path: str
) -> Iterator[tuple[str, tuple[dict[str, object], ...]]]:
    """Every number of a document with the tables around it, the innermost last."""
    if isinstance(node, dict):
        for key, value in node.items():
            yield from numbers(value, (*above, node), f"{path}.{key}")
    elif isinstance(node, list):
        for index, value in enumerate(node):
            yield from numbers(value, above, f"{path}[{index}]")
    elif isinstance(node, int | float) and not isinstance(node, bool):
        yield path, above


def test_the_tables_of_the_house_are_there() -> None:
    names = {file.name for file in FILES}
    assert {"surfaces.toml", "eyes.toml", "natural-light.toml", "lux-meters.toml", "light-losses.toml"} <= names
    assert len([file for file in FILES if file.parent.name == "criteria"]) >= 12


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.name)
def test_every_number_has_a_status_and_a_source(file: Path) -> None:
    document = tomllib.loads(file.read_text(encoding="utf-8"))
    found = list(numbers(document, (), file.stem))
    assert document["title"] and document["format"].startswith("scenelux ")
    for path, tables in found:
        status = next((table["status"] for table in reversed(tables) if "status" in table), None)
        named = next((table for table in reversed(tables) if "source" in table or "clause" in table), {})
        source = named.get("source", named.get("title", document.get("read")))  # a region has its document as title
        assert status in (OF_CASES if file.parent.name == "cases" else STATUSES), path
        assert isinstance(source, str) and source, path
        if "from memory" in source:
            levels_only = "levels are from memory" in source
            assert status == "unconfirmed" or levels_only, path


def test_solar_albedo_is_never_called_a_reflectance() -> None:
    surfaces = tomllib.loads((shipped("shared") / "surfaces.toml").read_text(encoding="utf-8"))["surfaces"]
    for name, surface in surfaces.items():
        assert "pvlib" not in surface.get("reflectance", {}).get("source", ""), name
        assert surface["say"]
    assert surfaces["dry asphalt"]["luminance_coefficient"]["value"] == 0.07
    assert 0.114 <= surfaces["wet asphalt"]["luminance_coefficient"]["value"] <= 0.247


def test_eyes_of_the_main_job() -> None:
    eyes = tomllib.loads((shipped("shared") / "eyes.toml").read_text(encoding="utf-8"))
    assert eyes["heights"]["car driver"]["height_m"] == 1.08
    assert (eyes["heights"]["truck driver"]["height_m"], eyes["heights"]["truck driver"]["status"]) == (
        2.33,
        "unconfirmed",
    )
    assert [row["value"] for row in eyes["pigmentation"].values()] == [0.0, 0.5, 1.0, 1.2]


def test_twilight_darkens_with_the_sun() -> None:
    table = tomllib.loads((shipped("shared") / "natural-light.toml").read_text(encoding="utf-8"))["twilight"]
    assert [row["low_lx"] for row in table] == sorted((row["low_lx"] for row in table), reverse=True)
    assert all(row["status"] == "published" and row["low_lx"] <= row["high_lx"] for row in table)
