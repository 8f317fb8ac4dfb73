"""A luminaire in words, the same at the terminal and on its sheet."""

from __future__ import annotations

import math
from dataclasses import dataclass

from scenelux.colour import Known, LampColour, check_colour
from scenelux.photometry import PhotometricFile, Summary, TiltTable, Widths
from scenelux.units import figure

__all__ = ["NOT_KNOWN", "Identity", "fact_rows", "width_reason"]

NOT_KNOWN = "the data end short of it, where the lamp is still bright"
"""Why an intensity or a flux is not known."""

_DOWN = (0.0, 0.0, -1.0)  # gamma 0, photometric frame


@dataclass(frozen=True)
class Identity:
    """What a luminaire is called, its colour as far as it is known, its supply in words, where its data come from.

    The uncertainty is the share by which the light in the beam and outside it may be off, where the card states it.
    A file without a card is taken as measured. Scenes apply a TILT table only where the card asks for it.
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
    applies_tilt: bool = False
    has_card: bool = True

    @property
    def origin(self) -> str:
        """Where the data come from, and how far that was confirmed."""
        if self.has_card or self.status != "own":
            return f"{self.source} ({self.status})"
        return self.source.removesuffix(", no card")  # said by the words on the data

    def data_words(self, file: PhotometricFile | None) -> str:
        """What the data are: their class, or that they are required values or only taken as measured.

        Parameters
        ----------
        file : that holds them, if one does.
        """
        if file is not None and file.basis == "required minimum":
            return "required minimum"
        if not self.has_card and self.data_class == "measured file":
            return "taken as measured, no card says otherwise"
        if file is not None and file.basis == "measured" and self.data_class != "measured file":
            return f"{self.data_class}, listed as measured"
        return self.data_class

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
    rows = [
        ("luminaire", f"{identity.title} ({identity.kind}, {identity.colour_name})"),
        ("data", f"{identity.data_words(summary.file)}{_off(identity)}; {identity.origin}"),
        ("file", _file(summary)),
        ("flux", _flux(identity, summary)),
        ("peak", f"{figure(peak.candela)} cd at C {_angle(peak.C_deg)}, gamma {_angle(peak.gamma_deg)} deg{own}"),
        ("beam angle", _widths(summary.beam_deg, "50 %", "half")),
        *_through_peak(summary),
        ("field angle", _widths(summary.field_deg, "10 %", "a tenth")),
        ("ahead", _ahead(summary)),
        ("upward light", _upward(summary)),
        ("opening", _opening(summary)),
        *_colour(identity.colour),
        *([("supply", identity.supply)] if identity.supply else []),
        *_about_file(summary),
        *_tilt_table(identity, summary),
    ]
    return rows + [("warning", str(warning)) for warning in summary.warnings]


def _off(identity: Identity) -> str:
    if identity.uncertainty is None:
        return ""
    inside, outside = (100.0 * one for one in identity.uncertainty)
    return f", off by up to {inside:.0f} % in the beam and {outside:.0f} % outside it"


def _ahead(summary: Summary) -> str:
    """Intensities towards the horizon and below it, where the eyes of those who come nearer are."""
    known = [candela for _, candela in summary.elevations if candela is not None]
    low = ", ".join("not known" if candela is None else figure(candela) for _, candela in summary.elevations)
    low = f"{low} cd" if known else "not known"
    angles = ", ".join("level" if not angle else f"{angle:g} deg" for angle, _ in summary.elevations)
    reason = f"; not known: {NOT_KNOWN}" if len(known) < len(summary.elevations) else ""
    return f"{low} at {angles}, {_tilt(summary.tilt_deg)}{reason}"


def _upward(summary: Summary) -> str:
    upward, flux = summary.flux_above_lm, summary.flux_lm
    if upward is None:
        return f"not known, {_tilt(summary.tilt_deg)}: {NOT_KNOWN}"
    share = 100.0 * upward / flux if flux > 0.0 else 0.0
    return f"{figure(upward)} lm ({share:.1f} %) upwards, {_tilt(summary.tilt_deg)}"


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
    return rows


def _tilt_table(identity: Identity, summary: Summary) -> list[tuple[str, str]]:
    table = summary.file.tilt if summary.file else None
    if table is None:
        return []
    held = f"geometry {table.geometry}, factors {min(table.factors):g} to {max(table.factors):g}"
    if not identity.applies_tilt:
        return [("tilt table", f"{held}; not applied, as no card asks for it")]
    without = "scenes apply it; flux, ahead, upward light and intensities here are without it"
    return [("tilt table", f"{held}; {without}; {_tilt_factor(table, summary)}")]


def _tilt_factor(table: TiltTable, summary: Summary) -> str:
    """The factor at the tilt shown, where that alone decides it: lamp along the photometric zero, and beam too."""
    face, length = summary.orientation.face, math.hypot(*summary.orientation.face)
    beam_on_zero = math.dist(face, [length * part for part in _DOWN]) < 1e-6 * length
    if table.geometry != 1 or table.lamp_position_deg is not None or not beam_on_zero:
        return "the factor goes by the lamp's own attitude"
    factor = table.factor_at(90.0 + summary.tilt_deg)
    if not math.isfinite(factor):
        return f"it has no factor with the {_tilt(summary.tilt_deg)}"
    return f"with the {_tilt(summary.tilt_deg)} its factor is {factor:.3g}"


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


def _widths(widths: Widths, share: str, words: str) -> str:
    reason = width_reason(widths, words)
    return f"{_pair(widths)} ({share} of the peak)" + (f"; {reason}" if reason else "")


def _pair(widths: Widths) -> str:
    across, up = (
        ("at least " if name in widths.at_least else "") + f"{value:.1f} deg" if math.isfinite(value) else "none"
        for name, value in (("across", widths.across_deg), ("up", widths.up_deg))
    )
    return f"{across} across, {up} up"


def _through_peak(summary: Summary) -> list[tuple[str, str]]:
    """The beam angle about the peak, where there is none about the beam axis."""
    about_axis, about_peak = summary.beam_deg, summary.beam_through_peak_deg
    missing = math.isnan(about_axis.across_deg) or math.isnan(about_axis.up_deg)
    if not missing or math.isnan(about_peak.across_deg):
        return []
    return [("through peak", f"{_pair(about_peak)} (50 % of the peak, in planes through the peak)")]


def width_reason(widths: Widths, share: str) -> str:
    """Why a width is missing; empty when none is.

    Parameters
    ----------
    widths : about the beam axis.
    share : of the peak, in words.

    Example
    -------
    >>> width_reason(Widths(float("nan"), 20.0), "half")
    'the level plane through the beam axis stays below half of the peak'
    """
    does = {False: f"stays below {share} of the peak", True: f"reaches {share} of the peak only behind the lamp"}
    missing = {
        plane: does[name in widths.behind]
        for name, plane, value in (("across", "level", widths.across_deg), ("up", "upright", widths.up_deg))
        if not math.isfinite(value)
    }
    if len(missing) == 2 and len(set(missing.values())) == 1:
        return f"each plane through the beam axis {missing['level']}"
    return ", ".join(f"the {plane} plane through the beam axis {text}" for plane, text in missing.items())


def _opening(summary: Summary) -> str:
    across, up, depth = summary.opening.across_up_depth_m
    if not any(summary.opening.size_m):
        return "a point"
    outline = "round" if summary.opening.is_round else "rectangular"
    deep = f", {1000 * depth:.0f} mm deep" if depth else ""
    return f"{outline}, {1000 * across:.0f} mm across x {1000 * up:.0f} mm up{deep}"
