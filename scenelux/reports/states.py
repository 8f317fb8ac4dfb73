"""Duty states and light levels in tables: those with the same lamp levels together, those in the dark in a sentence."""

from __future__ import annotations

from collections.abc import Sequence

from scenelux.pictures.levels import Key, Level, levels_drawn
from scenelux.study.results import StudyResult, VariantResult

__all__ = ["dark_sentence", "lit_levels", "say", "say_level"]


def say(result: StudyResult, state: str, light: str) -> str:
    """Duty state and light level in words."""
    return f"{result.states.get(state) or state} · {result.lights.get(light) or light}"


def say_level(result: StudyResult, level: Level) -> str:
    """Every state and light level that share their lamp levels, in words."""
    return "; ".join(say(result, *key) for key in level.keys)


def lit_levels(variant: VariantResult) -> list[Level]:
    """Each set of lamp levels that gives light, once; the one that most rules judge comes first."""
    levels = levels_drawn([variant], every_light=True)
    rules = [sum((row.state, row.light) in level.keys for row in variant.verdicts) for level in levels]
    first = max(range(len(levels)), key=lambda i: (rules[i], -i), default=0)
    return [*levels[first : first + 1], *levels[:first], *levels[first + 1 :]]


def dark_sentence(result: StudyResult, variant: VariantResult) -> str:
    """Which states and light levels have all lamps off; empty when each has light.

    Parameters
    ----------
    result : the study, for words.
    variant : the one told of.
    """
    dark = [key for key, shares in variant.map.levels.items() if not shares.any()]
    if not dark:
        return ""
    if len(dark) == len(variant.map.levels):
        return "No lamp is on in any duty state at any light level: there is no light to draw."
    return f"All lamps are off, so nothing is drawn or listed: {'; '.join(_states(result, variant, dark))}."


def _states(result: StudyResult, variant: VariantResult, dark: Sequence[Key]) -> list[str]:
    """States in words, with their light levels only where some of them have light."""
    words = []
    for state in dict.fromkeys(state for state, _ in dark):
        own = [key for key in dark if key[0] == state]
        whole = len(own) == sum(key[0] == state for key in variant.map.levels)
        words += [result.states.get(state) or state] if whole else [say(result, *key) for key in own]
    return words
