"""A page of every sentence about photometric files: each place that words one, with what it said in this run.

    python -m pytest tests/unit/photometry --sentences sentences.md

A run of the whole folder fails when a place was never reached.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from scenelux.photometry.faults import FaultLog

__all__ = ["Sentences"]

ROOT = Path(__file__).resolve().parents[3]
PACKAGE = ROOT / "scenelux" / "photometry"
MOST = 12  # of one place, of different words; the shortest of those that differ in numbers and quotes alone
_VARIES = re.compile(r'"[^"]*"|^[^ ]*: |[A-Za-z0-9.]*[0-9][A-Za-z0-9.]*')


class Sentences:
    """Records what `FaultLog` words while the tests run, by the place in the code that asked for it."""

    def __init__(self) -> None:
        self.seen: dict[tuple[str, int], set[tuple[int, str]]] = {}

    def start(self) -> None:
        """Listens from now on."""
        FaultLog.warn = self._listening(FaultLog.warn, lambda arguments, _: " ".join(str(arguments[2]).split()))  # type: ignore[method-assign]
        FaultLog.error = self._listening(FaultLog.error, lambda _, made: str(made))  # type: ignore[method-assign]

    def _listening(
        self, method: Callable[..., Any], words: Callable[[tuple[Any, ...], Any], str]
    ) -> Callable[..., Any]:
        def listening(*arguments: Any, **named: Any) -> Any:
            made, caller = method(*arguments, **named), sys._getframe(1)
            place = (caller.f_code.co_filename, caller.f_lineno)
            self.seen.setdefault(place, set()).add((int(arguments[1]), words(arguments, made)))
            return made

        return listening

    def page(self) -> str:
        """Markdown: a section for each module, a line for each sentence, and the places that were never reached."""
        lines = ["# Sentences about photometric files", ""]
        for path in sorted(PACKAGE.rglob("*.py")):
            calls = _calls(path)
            if not calls:
                continue
            lines += [f"## {path.relative_to(PACKAGE)}", ""]
            for first, last, kind in calls:
                said = _different(self._said(str(path), first, last))[:MOST]
                lines += [f"- {kind} {code}: {sentence}" for code, sentence in said]
                lines += [] if said else [f"- {kind} in line {first}: NOT SEEN"]
            lines.append("")
        return "\n".join(lines)

    def missing(self) -> list[str]:
        """Module and line of every place that was never reached."""
        return [
            f"{path.relative_to(ROOT)}:{first}"
            for path in sorted(PACKAGE.rglob("*.py"))
            for first, last, _ in _calls(path)
            if not self._said(str(path), first, last)
        ]

    def _said(self, file: str, first: int, last: int) -> set[tuple[int, str]]:
        """What was said from these lines of a module."""
        return {
            one
            for (place, line), found in self.seen.items()
            if place == file and first <= line <= last
            for one in found
        }


def _different(said: set[tuple[int, str]]) -> list[tuple[int, str]]:
    """One sentence of each wording, the shortest."""
    kept: dict[tuple[int, str], tuple[int, str]] = {}
    for code, sentence in sorted(said, key=lambda one: (len(one[1]), one)):
        kept.setdefault((code, _VARIES.sub("0", sentence)), (code, sentence))
    return list(kept.values())


def _calls(path: Path) -> list[tuple[int, int, str]]:
    """First and last line of every call that words a warning or an error."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in ("warn", "error"):
            found.append((node.lineno, node.end_lineno or node.lineno, node.func.attr))
    return sorted(found)
