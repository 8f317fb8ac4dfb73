"""The table of quantities in the notes for developers is what the command prints."""

from __future__ import annotations

from pathlib import Path

from command import run

NOTES = Path(__file__).resolve().parents[2] / "DEVELOPERS.md"
HEADING = "## Quantities of prove\n"


def test_the_table_of_quantities_is_that_of_the_command() -> None:
    """Print it anew with: scenelux prove --list --markdown"""
    section = NOTES.read_text(encoding="utf-8").partition(HEADING)[2].partition("\n## ")[0]
    assert run("prove", "--list", "--markdown").out.strip() in section
