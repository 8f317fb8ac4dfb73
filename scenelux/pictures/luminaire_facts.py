"""A luminaire in words, the same at the terminal and on its sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scenelux.colour import Known, LampColour, check_colour
from scenelux.photometry import Summary, Widths
from scenelux.units import figure

__all__ = ["Identity", "fact_rows", "width_reason"]


@dataclass(frozen=True)
class Identity:
    """What a luminaire is called, its colour as far as it is known, its supply in words, where its data come from.

    The uncertainty is the share by which the light in the beam and outside it may be off, where the card states it.
    """

    name: str
    title: str
    kind: str
    colour: LampColour | None
    data_class: str
    source: str
    status: str
    power_w: float | None
    supply: str = ""
    uncertainty: tuple[float, float] | None = None

    @property
    def colour_name(self) -> str:
        """The colour in a word."""
        return self.colour.name if self.colour else "colour not stated"


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
        ("luminaire", f"{identity.title} ({identity.kind}, {identity.colour_name})"),
        ("data", f"{identity.data_class}{_off(identity)}; {identity.source} ({identity.status})"),
        ("file", _file(summary)),
        ("flux", _flux(identity, summary)),
        ("peak", f"{figure(peak.candela)} cd at C {_angle(peak.C_deg)}, gamma {_angle(peak.gamma_deg)} deg{own}"),
        ("beam angle", f"{_widths(summary.beam_deg)} (50 % of the peak)"),
        ("field angle", f"{_widths(summary.field_deg)} (10 % of the peak)"),
        ("ahead", _ahead(summary)),
        ("upward light", f"{figure(summary.flux_above_lm)} lm ({above:.1f} %) upwards, {_tilt(summary.tilt_deg)}"),
        ("opening", _opening(summary)),
        *_colour(identity.colour),
        *([("supply", identity.supply)] if identity.supply else []),
        *_about_file(summary),
    ]
    return rows + [("warning", str(warning)) for warning in summary.warnings]


def _off(identity: Identity) -> str:
    if identity.uncertainty is None:
        return ""
    inside, outside = (100.0 * one for one in identity.uncertainty)
    return f", off by up to {inside:.0f} % in the beam and {outside:.0f} % outside it"


def _ahead(summary: Summary) -> str:
    """Intensities towards the horizon and below it, where the eyes of those who come nearer are."""
    low = ", ".join(f"{figure(candela)}" for _, candela in summary.elevations)
    angles = ", ".join("level" if not angle else f"{angle:g} deg" for angle, _ in summary.elevations)
    return f"{low} cd at {angles}, {_tilt(summary.tilt_deg)}"


def _colour(colour: LampColour | None) -> list[tuple[str, str]]:
    if colour is None:
        return []
    known = []
    if (point := colour.chromaticity_xy.value) is not None:
        known.append(f"x {point[0]:.3f}, y {point[1]:.3f} ({_status(colour.chromaticity_xy)})")
    if colour.cct_k.value is not None and f"{colour.cct_k.value:g} K" not in colour.name:
        known.append(f"{colour.cct_k.value:.0f} K")
    ratio = colour.sp_ratio
    known.append(f"S/P {ratio.value:.3g} ({_status(ratio)})" if ratio.value is not None else f"S/P: {ratio.because}")
    rows = [("colour", ", ".join([colour.name, *known]))]
    verdicts = [one for one in check_colour(colour) if one.verdict != "not assessed"]
    rows += [("colour check", one.says) for one in verdicts]
    return rows + [("colour", note) for note in colour.notes]


def _status(known: Known[tuple[float, float]] | Known[float]) -> str:
    return known.source.status if known.source else ""


def _about_file(summary: Summary) -> list[tuple[str, str]]:
    """What a file says about how its values came about."""
    file, rows = summary.file, []
    if file is None:
        return []
    if file.basis is not None:
        held = f", {len(file.points)} points" if file.points else ""
        rows.append(
            ("values", ("measured" if file.basis == "measured" else "the required minimum, not measured") + held)
        )
    if file.generation is not None:
        rows.append(("file type", f"{file.generation.token}: {', '.join(file.generation.words)}"))
    if file.tilt is not None:
        low, high = min(file.tilt.factors), max(file.tilt.factors)
        table = f"geometry {file.tilt.geometry}, factors {low:g} to {high:g}; applied only where a card asks for it"
        rows.append(("tilt table", table))
    return rows


def _angle(value: float) -> str:
    return f"{round(value, 2) + 0.0:g}"


def _tilt(tilt_deg: float) -> str:
    return f"beam tilted {abs(tilt_deg):g} deg {'down' if tilt_deg < 0 else 'up'}" if tilt_deg else "beam level"


def _file(summary: Summary) -> str:
    kind, (planes, angles) = summary.distribution.photometric_type, summary.distribution.candela.shape
    grid = f"type {kind}, {planes} x {angles} angles, symmetry: {summary.file.symmetry if summary.file else 'none'}"
    if summary.file is None:
        return f"stated beam, {grid}"
    factors = ", ".join(f"{name} {value:g}" for name, value in summary.file.factors)
    return f"{summary.file.title}, {grid}" + (f"; applied: {factors}" if factors else "")


def _flux(identity: Identity, summary: Summary) -> str:
    text = f"{figure(summary.flux_lm)} lm"
    if summary.rated_flux_lm:
        share = 100.0 * summary.flux_lm / summary.rated_flux_lm
        text += f", {share:.0f} % of the rated {figure(summary.rated_flux_lm)} lm"
    power = identity.power_w or (summary.file.input_watts if summary.file else None)
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
