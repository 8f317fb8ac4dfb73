"""JSON Schema of scenes, luminaire cards and switching documents, so that editors complete and check keys."""

from __future__ import annotations

import json
from typing import Any, Literal

from scenelux.scene.cards import Card
from scenelux.scene.fields import Table
from scenelux.scene.model import SceneText
from scenelux.scene.switching import SwitchingText

__all__ = ["SCHEMAS", "schema", "schema_text"]

_DIALECT = "https://json-schema.org/draft/2020-12/schema"

SCHEMAS: dict[str, tuple[type[Table], str]] = {
    "scene": (SceneText, "A scenelux scene"),
    "luminaire": (Card, "A scenelux luminaire card"),
    "switching": (SwitchingText, "A scenelux switching document"),
}
"""Document -> its model and its title."""

_FILLED_IN = (("Lamp", "light_loss_factor"), ("LightLevel", "road_luminance"), ("Eye", "height"))
"""Keys that a lamp takes from its vehicle, or that are found from another key, when they are not written."""


def schema(document: Literal["scene", "luminaire", "switching"]) -> dict[str, object]:
    """JSON Schema of a kind of document, with the keys as they are written.

    Parameters
    ----------
    document : "scene", "luminaire" or "switching".

    Example
    -------
    >>> schema("scene")["title"]
    'A scenelux scene'
    """
    model, title = SCHEMAS[document]
    found = _plain(model.model_json_schema(by_alias=True))
    for table, key in _FILLED_IN:
        if table in found.get("$defs", {}):
            found["$defs"][table]["required"].remove(key)
    return {"$schema": _DIALECT, "title": title, **found}


def _plain(part: Any) -> Any:
    """Without null, which TOML does not have, and without titles that repeat the key."""
    if isinstance(part, list):
        return [_plain(item) for item in part]
    if not isinstance(part, dict):
        return part
    options = [option for option in part.get("anyOf", ()) if option != {"type": "null"}]
    # A key named "title" holds a table; a title beside it is text.
    dropped = [key for key, value in part.items() if key == "anyOf" or (key == "title" and isinstance(value, str))]
    rest = {key: value for key, value in part.items() if key not in dropped}
    if "default" in rest and rest["default"] in (None, ""):
        del rest["default"]
    if "patternProperties" in rest:  # names of a form, and no others
        ((pattern, inner),) = rest.pop("patternProperties").items()
        rest |= {"additionalProperties": inner, "propertyNames": {"pattern": pattern}}
    if len(options) == 1:
        return _plain({**options[0], **rest})
    return {key: _plain(value) for key, value in {**rest, **({"anyOf": options} if options else {})}.items()}


def schema_text(document: Literal["scene", "luminaire", "switching"]) -> str:
    """The schema as it is shipped and printed."""
    return json.dumps(schema(document), indent=1, ensure_ascii=False) + "\n"
