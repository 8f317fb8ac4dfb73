"""The exhaustive check, and what it says as results."""

from __future__ import annotations

from math import nan

import numpy as np

from scenelux.errors import InputError
from scenelux.scene.switching import StatedProperty, SwitchingText
from scenelux.scene.switching_read import SwitchingDocument
from scenelux.study.dusk.bridge import UNITS_OF, quantity_name
from scenelux.study.dusk.light import RowLight, quantity_of
from scenelux.study.dusk.reach import Reach
from scenelux.study.results.dusk import PropertyVerdict, RuleFinding, SwitchingCheck
from scenelux.switching.check import Verdict, check
from scenelux.switching.document import SwitchingDocument as Rules

__all__ = ["check_properties", "stated_words"]


def check_properties(
    document: SwitchingDocument, rules: Rules, light: RowLight, found: Reach, own_lx: dict[str, float]
) -> SwitchingCheck:
    """Checks all properties over all combinations of inputs and states of the sensor.

    Parameters
    ----------
    document, rules : as written, and as the check takes them.
    light : for quantities.
    found : levels that occur.
    own_lx : circuit -> reading that it adds at the sensor at level 1.
    """
    stated = {one.id: one for one in document.text.properties}
    limited = [one for one in stated.values() if one.subject is not None]
    quantities = {quantity_name(one): quantity_of(light, one) for one in limited}
    try:
        result = check(
            rules.switching, rules.properties, failures=rules.failures, quantities=quantities, own_light_lx=own_lx
        )
    except InputError as error:
        raise document.locate(error) from None
    return SwitchingCheck(
        says=result.says,
        combinations=result.combinations,
        kinds=result.kinds,
        failures=result.failures,
        verdicts=tuple(_verdict(document.text, stated[one.stated.id], one, light, found) for one in result.verdicts),
        findings=tuple(RuleFinding(fault.kind, fault.says) for fault in result.faults),
    )


def _verdict(
    text: SwitchingText, stated: StatedProperty, verdict: Verdict, light: RowLight, found: Reach
) -> PropertyVerdict:
    return PropertyVerdict(
        property_id=stated.id,
        states=stated_words(text, stated),
        because=stated.because,
        verdict=verdict.verdict,
        combinations=verdict.combinations,
        broken=verdict.broken,
        story=verdict.story.says if verdict.story else "",
        worst=_worst(stated, light, found),
        unit=UNITS_OF.get(stated.subject or "", ""),
    )


def _worst(stated: StatedProperty, light: RowLight, found: Reach) -> float:
    """The worst value of a quantity over all levels that occur where the property speaks."""
    levels = found.applies[stated.id]
    if stated.subject is None or not levels:
        return nan
    values = quantity_of(light, stated)(np.array(levels))
    if np.isnan(values).all():
        return nan
    return float(np.nanmin(values) if stated.must == "be at least" else np.nanmax(values))


def stated_words(text: SwitchingText, stated: StatedProperty) -> str:
    """What a property asks for, in words.

    Parameters
    ----------
    text : for units.
    stated : one of its properties.
    """
    circuits = ", ".join(stated.circuits or ())
    if stated.must == "not be dimmed":
        return f"{circuits} not dimmed" + ("" if stated.level is None else f" below {stated.level:g}")
    if stated.must == "not be lowered by a failure":
        return f"{circuits} not lowered below {stated.level:g} by a failure"
    if stated.must == "fail to":
        as_if = str(stated.as_if).lower() if isinstance(stated.as_if, bool) else str(stated.as_if)
        levels = ", ".join(f"{name} {level:g}" for name, level in (stated.levels or {}).items())
        return f"{stated.input} failed: {levels or f'levels as if it read {as_if}'}"
    sense = stated.must.removeprefix("be ")
    if stated.subject is None:
        return f"{circuits} {sense} {stated.level:g}"
    return f"{quantity_name(stated)} {sense} {stated.limit_in(text.units):.4g} {UNITS_OF[stated.subject]}"
