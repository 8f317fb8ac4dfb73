"""A luminaire in words, the same at the terminal and on its sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scenelux.photometry import Summary, Widths
from scenelux.units import figure

__all__ = ["Identity", "fact_rows", "width_reason"]


@dataclass(frozen=True)
class Identity:
    """What a luminaire is called and where its data come from."""

    name: str
    title: str
    kind: str
    colour: str
    data_class: str
    source: str
    status: str
    power_w: float | None


def fact_rows(identity: Identity, summary: Summary) -> list[tuple[str, str]]:
    """Name and text of everything known about a luminaire, warnings last.

    Parameters
    ----------
    identity : name, kind and source.
    summary : its figures.
    """
    kind, peak = summary.distribution.photometric_type, summary.peak
    own = f", H {_angle(peak.horizontal_deg)}, V {_angle(peak.vertical_deg)}" if kind != "C" else ""
    above = 100.0 * summary.flux_above_lm / summary.flux_lm if summary.flux_lm > 0.0 else 0.0
    rows = [
        ("luminaire", f"{identity.title} ({identity.kind}, {identity.colour})"),
        ("data", f"{identity.data_class}; {identity.source} ({identity.status})"),
        ("file", _file(summary)),
        ("flux", _flux(identity, summary)),
        ("peak", f"{figure(peak.candela)} cd at C {_angle(peak.C_deg)}, gamma {_angle(peak.gamma_deg)} deg{own}"),
        ("beam angle", f"{_widths(summary.beam_deg)} (50 % of the peak)"),
        ("field angle", f"{_widths(summary.field_deg)} (10 % of the peak)"),
        ("opening", _opening(summary)),
        ("upward light", f"{figure(summary.flux_above_lm)} lm ({above:.1f} %) upwards, {_tilt(summary.tilt_deg)}"),
    ]
    return rows + [("warning", str(warning)) for warning in summary.warnings]


def _angle(value: float) -> str:
    return f"{round(value, 2) + 0.0:g}"


def _tilt(tilt_deg: float) -> str:
    return f"beam tilted {abs(tilt_deg):g} deg {'down' if tilt_deg < 0 else 'up'}" if tilt_deg else "beam level"


def _file(summary: Summary) -> str:
    kind, (planes, angles) = summary.distribution.photometric_type, summary.distribution.candela.shape
    grid = f"type {kind}, {planes} x {angles} angles, symmetry: {summary.symmetry}"
    factors = ", ".join(f"{name} {value:g}" for name, value in summary.factors)
    return f"{summary.edition}, {grid}" + (f"; applied: {factors}" if factors else "")


def _flux(identity: Identity, summary: Summary) -> str:
    text = f"{figure(summary.flux_lm)} lm"
    if summary.rated_flux_lm:
        share = 100.0 * summary.flux_lm / summary.rated_flux_lm
        text += f", {share:.0f} % of the rated {figure(summary.rated_flux_lm)} lm"
    power = identity.power_w or summary.input_watts
    return text + (f", {figure(power)} W, {figure(summary.flux_lm / power)} lm/W" if power else "")


def _widths(widths: Widths) -> str:
    parts = (f"{value:.1f} deg" if math.isfinite(value) else "none" for value in (widths.across_deg, widths.up_deg))
    return "{} across, {} up".format(*parts)


def width_reason(widths: Widths, share: str) -> str:
    """Why a width is missing; empty when none is.

    Example
    -------
    >>> width_reason(Widths(float("nan"), 20.0), "half")
    'the level plane through the beam axis stays below half of the peak'
    """
    planes = [
        name for name, value in (("level", widths.across_deg), ("upright", widths.up_deg)) if not math.isfinite(value)
    ]
    if not planes:
        return ""
    stays = f"plane through the beam axis stays below {share} of the peak"
    return f"the {planes[0]} {stays}" if len(planes) == 1 else f"each {stays}"


def _opening(summary: Summary) -> str:
    across, up, depth = summary.opening.across_up_depth_m
    if not any(summary.opening.size_m):
        return "a point"
    outline = "round" if summary.opening.is_round else "rectangular"
    deep = f", {1000 * depth:.0f} mm deep" if depth else ""
    return f"{outline}, {1000 * across:.0f} mm across x {1000 * up:.0f} mm up{deep}"
