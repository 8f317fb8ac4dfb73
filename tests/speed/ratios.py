"""Limits of ratios: what was measured must not fall below what a machine of any kind should reach."""

from __future__ import annotations

import json
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TypeAlias

__all__ = ["Limit", "Ratios", "better", "missed", "read_limits"]

Ratios: TypeAlias = dict[str, float | None]
"""Ratios by name, "section: what over what", the larger the better; None where it cannot be measured."""


@dataclass(frozen=True)
class Limit:
    """The least a ratio may be, what it was when that was set, and whether a quick run measures it too."""

    least: float
    measured: float
    quick: bool


def read_limits(file: Path) -> dict[str, Limit]:
    """Limits by the name of their ratio."""
    return {name: Limit(**fields) for name, fields in json.loads(file.read_text(encoding="utf-8")).items()}


def better(first: Ratios, second: Ratios) -> Ratios:
    """The larger of two ratios, for each of the second run; a busy machine disturbs one run seldom alike another."""
    return {name: ratio if ratio is None else max(ratio, first.get(name) or 0.0) for name, ratio in second.items()}


def missed(limits: Mapping[str, Limit], ratios: Ratios, sections: Collection[str], quick: bool) -> list[str]:
    """One sentence for each ratio that is below its limit, or that was to be measured and was not.

    Parameters
    ----------
    limits, ratios : by name; a ratio that is None is left out.
    sections : what was run; limits of other sections are left out.
    quick : whether the run was a quick one; limits of full runs are left out then.
    """
    sentences = []
    for name, limit in limits.items():
        if name.partition(":")[0] not in sections or (quick and not limit.quick):
            continue
        ratio = ratios.get(name, 0.0)
        if name not in ratios:
            sentences.append(f"{name} was not measured, though it has a limit of {limit.least:g}.")
        elif ratio is not None and not ratio >= limit.least:
            sentences.append(
                f"{name} is {ratio:.3g}, below its limit of {limit.least:g} ({limit.measured:g} when that was set)."
            )
    return sentences
