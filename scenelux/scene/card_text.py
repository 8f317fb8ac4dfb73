"""A luminaire card as text: what a command writes beside a photometric file that it has made."""

from __future__ import annotations

from collections.abc import Mapping
from json import dumps
from typing import Any

from scenelux.scene.cards import CARD_FORMAT

__all__ = ["card_text"]


def card_text(table: Mapping[str, Any]) -> str:
    """A card from its keys and values as they stand in TOML; keys that are None are left out.

    Parameters
    ----------
    table : keys of a card in the order in which they are written, tables last; the format is added where it is missing.

    Example
    -------
    >>> print(card_text({"name": 'Flood "A"', "source": {"title": "Data sheet", "status": "own"}}), end="")
    format = "scenelux luminaire 1"
    name = "Flood \\"A\\""
    <BLANKLINE>
    [source]
    title = "Data sheet"
    status = "own"
    """
    keys = {"format": CARD_FORMAT, **{key: value for key, value in table.items() if value is not None}}
    lines = [f"{key} = {_value(value)}" for key, value in keys.items() if not isinstance(value, Mapping)]
    for key, value in keys.items():
        if isinstance(value, Mapping):
            lines += ["", f"[{key}]", *(f"{name} = {_value(one)}" for name, one in value.items() if one is not None)]
    return "\n".join(lines) + "\n"


def _value(value: Any) -> str:
    """A value in TOML; its strings escape as those of JSON do, and the delete character besides."""
    if isinstance(value, list | tuple):
        return f"[{', '.join(map(_value, value))}]"
    return dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
