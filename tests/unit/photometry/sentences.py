"""A page of every sentence about photometric files: each place that words one, with what it said in this run."""

from __future__ import annotations

import ast
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from scenelux.photometry.faults import FaultLog

__all__ = ["Sentences"]

ROOT = Path(__file__).resolve().parents[3]
PACKAGE = ROOT / "scenelux" / "photometry"
MOST = 4  # of one place; the shortest differ most


class Sentences:
    """Records what `FaultLog` words while the tests run, by the place in the code that asked for it."""

    def __init__(self) -> None:
        self.seen: dict[tuple[str, int], set[tuple[int, str]]] = {}

    def start(self) -> None:
        """Listens from now on."""
        FaultLog.warn = self._listening(FaultLog.warn, lambda arguments, _: str(arguments[2]))  # type: ignore[method-assign]
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
                said = sorted(self._said(str(path), first, last), key=lambda one: (len(one[1]), one))[:MOST]
                lines += [f"- {kind} {code}: {sentence}" for code, sentence in said]
                lines += [] if said else [f"- {kind} in line {first}: NOT SEEN"]
            lines.append("")
        return "\n".join(lines)

    def _said(self, file: str, first: int, last: int) -> set[tuple[int, str]]:
        """What was said from these lines of a module."""
        return {
            one
            for (place, line), found in self.seen.items()
            if place == file and first <= line <= last
            for one in found
        }


def _calls(path: Path) -> list[tuple[int, int, str]]:
    """First and last line of every call that words a warning or an error."""
    found = []
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in ("warn", "error"):
            found.append((node.lineno, node.end_lineno or node.lineno, node.func.attr))
    return sorted(found)
