"""The shipped JSON Schemas are those of the models, and the shipped documents fit them."""

from __future__ import annotations

import json
import re
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from broken_scenes import BASE

from scenelux.scene.schema import SCHEMAS, schema, schema_text
from scenelux.scene.template import template_text
from scenelux.shipped import shipped

_TYPES = {"object": dict, "array": list, "string": str, "integer": int, "number": (int, float), "boolean": bool}
_KNOWN = {
    "$defs", "$ref", "$schema", "additionalProperties", "anyOf", "const", "default", "description", "enum", "items",
    "maxItems", "maxLength", "maximum", "minItems", "minLength", "minProperties", "minimum", "pattern", "prefixItems",
    "properties", "propertyNames", "required", "title", "type",
}  # fmt: skip


def faults(value: Any, part: Any, root: Any, at: str = "") -> Iterator[str]:
    """Slow, literal check of the keywords that our schemas use."""
    assert set(part) <= _KNOWN, set(part) - _KNOWN
    if "$ref" in part:
        yield from faults(value, root["$defs"][part["$ref"].rpartition("/")[2]], root, at)
    if "anyOf" in part and all(list(faults(value, option, root, at)) for option in part["anyOf"]):
        yield f"{at}: fits none"
    if "type" in part and (not isinstance(value, _TYPES[part["type"]]) or isinstance(value, bool)):
        yield f"{at}: is not of type {part['type']}"
    if ("const" in part and value != part["const"]) or ("enum" in part and value not in part["enum"]):
        yield f"{at}: is not a known word"
    if isinstance(value, str):
        if len(value) < part.get("minLength", 0) or not re.search(part.get("pattern", ""), value):
            yield f"{at}: is not text of this form"
    elif isinstance(value, dict):
        yield from _table_faults(value, part, root, at)
    elif isinstance(value, list):
        first = part.get("prefixItems", [])
        if not part.get("minItems", 0) <= len(value) <= part.get("maxItems", len(value)):
            yield f"{at}: has {len(value)} parts"
        for index, item in enumerate(value):
            inner = first[index] if index < len(first) else part.get("items", {})
            yield from faults(item, inner, root, f"{at}[{index}]")


def _table_faults(value: dict[str, Any], part: Any, root: Any, at: str) -> Iterator[str]:
    yield from (f"{at}.{key}: is missing" for key in part.get("required", ()) if key not in value)
    for key, item in value.items():
        if key in part.get("properties", {}):
            yield from faults(item, part["properties"][key], root, f"{at}.{key}")
        elif part.get("additionalProperties") is False:
            yield f"{at}.{key}: is not known"
        elif isinstance(part.get("additionalProperties"), dict):
            yield from faults(key, part.get("propertyNames", {}), root, f"{at}.{key}")
            yield from faults(item, part["additionalProperties"], root, f"{at}.{key}")


def documents() -> list[Any]:
    files = [("scene", path) for path in sorted(shipped("scenes").glob("*.toml"))]
    files += [("luminaire", path) for path in sorted(shipped("luminaires").glob("*.toml"))]
    files += [("switching", path) for path in sorted(shipped("scenes").glob("switching/*.toml"))]
    others = [("scene", "template", template_text()), ("scene", "base of the broken scenes", BASE)]
    found = [*((kind, path.name, path.read_text(encoding="utf-8")) for kind, path in files), *others]
    return [pytest.param(kind, text, id=name) for kind, name, text in found]


@pytest.mark.parametrize("kind", sorted(SCHEMAS))
def test_shipped_schema_is_current(kind: str) -> None:
    file = shipped("shared") / "schema" / f"{kind}.schema.json"
    assert file.read_text(encoding="utf-8") == schema_text(kind), f"write schema_text({kind!r}) to {file.name}"  # type: ignore[arg-type]


@pytest.mark.parametrize(("kind", "text"), documents())
def test_shipped_documents_fit(kind: str, text: str) -> None:
    found = schema(kind)  # type: ignore[arg-type]
    document = tomllib.loads(text)
    assert list(faults(document, found, found)) == []
    try:
        import jsonschema
    except ImportError:
        return
    jsonschema.Draft202012Validator.check_schema(found)
    jsonschema.validate(document, found)


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ('plane = "horizontal"', 'plane = "level"', ".areas[0].plane: is not a known word"),
        ('tilt = "-35 deg"', 'tild = "-35 deg"', ".vehicles[0].lamps[0].tild: is not known"),
        ('title = "A truck to be broken"\n', "", ".title: is missing"),
        ('["-3 in", "38 in", "7 ft 9 in"]', '["-3 in"]', ".vehicles[0].lamps[0].position: has 1 parts"),
        ('id = "rear"', 'id = "a/b"', ".areas[0].id: is not text of this form"),
        ('gaze = ["road", "1 deg down"]', "gaze = [5]", ".eyes[0].gaze[0]: fits none"),
        ('"tail scene" = "Two tail floods"', '"a/b" = "x"', ".circuits.a/b: is not text of this form"),
    ],
)
def test_the_schema_finds_faults(old: str, new: str, fault: str) -> None:
    assert BASE.count(old) == 1
    found = schema("scene")
    assert fault in list(faults(tomllib.loads(BASE.replace(old, new)), found, found))


@pytest.mark.parametrize("path", sorted(shipped("scenes").rglob("*.toml")), ids=lambda path: path.stem)
def test_shipped_scenes_name_their_schema(path: Path) -> None:
    kind, title = ("switching", "switching document") if path.parent.name == "switching" else ("scene", "scene")
    first = path.read_text(encoding="utf-8").partition("\n")[0]
    named = re.fullmatch(r"#:schema (\S+)", first)
    assert named and (path.parent / named[1]).resolve() == (shipped("shared") / f"schema/{kind}.schema.json").resolve()
    assert json.loads((path.parent / named[1]).read_text(encoding="utf-8"))["title"] == f"A scenelux {title}"
