"""The lamp schedule: every lamp with its place, its aim and its level in each duty state at each light level."""

from __future__ import annotations

from scenelux.pictures.words import where
from scenelux.reports.tabling import Table
from scenelux.study.results import StudyResult, VariantResult

__all__ = ["lamp_table"]


def lamp_table(result: StudyResult, variant: VariantResult) -> Table:
    """The lamp schedule of a variant.

    Parameters
    ----------
    result : the study, for words and units.
    variant : whose lamps are listed.
    """
    rows = [
        (
            lamp.lamp_id,
            lamp.luminaire,
            lamp.circuit,
            where(lamp.position_m, result.units),
            f"{lamp.heading_deg:g}°",
            f"{lamp.tilt_deg:g}°",
            _levels(result, variant, lamp.lamp_id),
        )
        for lamp in variant.lamps
    ]
    header = ("lamp", "luminaire", "circuit", "position on the site", "heading", "tilt", "level")
    note = (
        "Position in the site frame (along, left, up). Heading and tilt on the vehicle: heading 0° forward, 90° left, "
        "180° rear; negative tilt is down. States that are not named: off."
    )
    return Table("Lamp schedule", header, tuple(rows), note)


def _levels(result: StudyResult, variant: VariantResult, lamp_id: str) -> str:
    """Level of a lamp in each state: states alike together, none where it is off."""
    index = variant.map.lamp_ids.index(lamp_id)
    by_state: dict[str, dict[str, float]] = {}
    for (state, light), shares in variant.map.levels.items():
        by_state.setdefault(state, {})[light] = float(shares[index])
    by_text: dict[str, list[str]] = {}
    for state, by_light in by_state.items():
        if any(by_light.values()):
            by_text.setdefault(_of_state(result, by_light), []).append(result.states.get(state) or state)
    return "; ".join(f"{', and '.join(states)}: {text}" for text, states in by_text.items()) or "off in every state"


def _of_state(result: StudyResult, shares: dict[str, float]) -> str:
    by_share: dict[str, list[str]] = {}
    for light, share in shares.items():
        by_share.setdefault(_percent(share), []).append(result.lights.get(light) or light)
    if len(by_share) == 1:
        return next(iter(by_share))
    return ", ".join(f"{share} ({'; '.join(lights)})" for share, lights in by_share.items())


def _percent(share: float) -> str:
    return f"{100 * share:.3g} %" if share else "off"
