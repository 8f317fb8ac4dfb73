"""Which sheets a study and a comparison have, in which order and under which names."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from scenelux.errors import UsageError
from scenelux.names import slug
from scenelux.pictures.approach import approach_sheets, comparison_approach_sheets
from scenelux.pictures.area import area_sheets
from scenelux.pictures.levels import Level, levels_drawn
from scenelux.pictures.pair import pair_sheet, same_grid
from scenelux.pictures.plan import plan_sheet
from scenelux.pictures.scale import LuxScale, lux_scale
from scenelux.pictures.sentences import comparison_sentences
from scenelux.pictures.sheet import Sheet
from scenelux.study.results import StudyResult, VariantResult

__all__ = ["named_variant", "sheets_of_comparison", "sheets_of_study", "sheets_of_variant"]


def named_variant(result: StudyResult, name: str) -> VariantResult:
    """The variant of that name."""
    for variant in result.variants:
        if variant.name == name:
            return variant
    known = ", ".join(variant.name for variant in result.variants)
    raise UsageError("is not a variant of this study", value=name, accepted=f"give one of {known}")


def sheets_of_study(result: StudyResult, colours: str, every_light: bool) -> Iterator[tuple[str, Sheet]]:
    """Every sheet of a study with its file name.

    Parameters
    ----------
    result : the study.
    colours : "inferno" or "cividis".
    every_light : every light level of every state, and every area.
    """
    scale = lux_scale(result, colours)
    for variant in result.variants:
        yield from sheets_of_variant(result, variant, scale, every_light=every_light)


def sheets_of_variant(
    result: StudyResult, variant: VariantResult, scale: LuxScale, *, every_light: bool = False
) -> Iterator[tuple[str, Sheet]]:
    """The sheets of one variant with their file names: plans, area values, glare along the approach.

    Parameters
    ----------
    result : the study.
    variant : the one drawn.
    scale : the lux scale of the whole study.
    every_light : every light level of every state, and every area.
    """
    levels = levels_drawn([variant], every_light=every_light)
    for level in levels:
        name = slug("plan", variant.name, level.state, level.light)
        yield f"{name}.png", plan_sheet(result, variant, level, scale)
    for level in _most_judged(variant, levels):
        for number, sheet in enumerate(area_sheets(result, variant, level, scale, every_area=every_light), 1):
            yield f"{slug('areas', variant.name, level.state, level.light, str(number))}.png", sheet
    for light, sheet in approach_sheets(result, variant, every_light=every_light):
        yield f"{slug('approach', variant.name, light)}.png", sheet


def sheets_of_comparison(result: StudyResult, first: str, second: str, colours: str) -> Iterator[tuple[str, Sheet]]:
    """Every sheet of a comparison with its file name; states that are the same in both are left out.

    Parameters
    ----------
    result : the study.
    first, second : names of the variants.
    colours : "inferno" or "cividis".
    """
    scale = lux_scale(result, colours)
    one, other = named_variant(result, first), named_variant(result, second)
    sentences = comparison_sentences(result, one, other)
    levels = levels_drawn([one, other])
    changed = [level for level in levels if not _same_map(one, other, level)]
    for level in changed or levels[:1]:
        sheet = pair_sheet(result, one, other, level, scale, sentences)
        yield f"{slug('pair', first, second, level.state, level.light)}.png", sheet
    for name, sheet in comparison_approach_sheets(result, one, other):
        yield f"{slug('glare', first, second, name)}.png", sheet


def _same_map(first: VariantResult, second: VariantResult, level: Level) -> bool:
    """True when a reader would see no difference between two maps."""
    if not same_grid(first, second):
        return False
    before, after = (one.map.illuminance_lx(level.state, level.light) for one in (first, second))
    return bool(np.allclose(before, after, rtol=0.01, atol=0.001, equal_nan=True))


def _most_judged(variant: VariantResult, levels: list[Level]) -> list[Level]:
    """The level at which most rules are judged, the first of equals; none when nothing is lit."""
    judged = [sum((row.state, row.light) in level.keys for row in variant.verdicts) for level in levels]
    return [level for level, count in zip(levels, judged, strict=True) if count == max(judged)][:1]
