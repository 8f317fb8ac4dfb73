"""The pages that list keys and rules name every one of them."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from scenelux.checks import shipped_rules

ROOT = Path(__file__).resolve().parents[3]
SCHEMA, SWITCHING = (
    json.loads((ROOT / "shared" / "schema" / f"{kind}.schema.json").read_text(encoding="utf-8"))
    for kind in ("scene", "switching")
)
PAGE = (ROOT / "scenes" / "KEYS.md").read_text(encoding="utf-8")
WORDS = set(re.findall(r"[a-z_]+", " ".join(re.findall(r"`([^`]*)`", PAGE))))


@pytest.mark.parametrize("table", ["", *SCHEMA["$defs"]])
def test_every_key_of_the_scene_is_explained(table: str) -> None:
    keys = (SCHEMA["$defs"][table] if table else SCHEMA).get("properties", {})
    assert not [key for key in keys if key not in WORDS]


@pytest.mark.parametrize("table", ["", *SWITCHING["$defs"]])
def test_every_key_of_switching_is_explained(table: str) -> None:
    keys = (SWITCHING["$defs"][table] if table else SWITCHING).get("properties", {})
    assert not [key for key in keys if key not in WORDS]


def rules_page() -> str:
    rows = [
        f"| `{rule.id}` | {rule.source.title}, {rule.source.clause or 'no clause'} | {rule.quantity}, {rule.statistic} "
        f"| {rule.sense} {rule.printed or f'{rule.limit:g} {rule.unit}'} | {rule.plane} | {rule.source.status} |"
        for rule in shipped_rules().values()
    ]
    head = (
        "# Rules that a scene can name\n\n"
        "Unconfirmed rows are judged *not assessed*. This page is written from the documents beside it:\n"
        "`python tests/unit/scene/test_keys_page.py`.\n\n"
        "| rule | document, clause | quantity, statistic | limit as printed | plane | status |\n"
        "|---|---|---|---|---|---|\n"
    )
    return head + "\n".join(rows) + "\n"


def test_the_page_of_rules_is_current() -> None:
    assert (ROOT / "shared" / "criteria" / "README.md").read_text(encoding="utf-8") == rules_page()


if __name__ == "__main__":
    (ROOT / "shared" / "criteria" / "README.md").write_text(rules_page(), encoding="utf-8")
