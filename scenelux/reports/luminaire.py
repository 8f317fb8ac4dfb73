"""A luminaire as a JSON document, and several of them as a table."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import Any

from scenelux.colour import Known, LampColour, check_colour
from scenelux.photometry import PhotometricFile, Summary, Widths
from scenelux.pictures.luminaire_facts import NOT_KNOWN, Identity, width_reason
from scenelux.reports.tabling import Table
from scenelux.units import figure

__all__ = ["known_candela", "luminaire_document", "luminaire_table"]


def luminaire_document(identity: Identity, summary: Summary, intensities: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """The JSON form of one luminaire.

    Parameters
    ----------
    identity, summary : who it is and its figures.
    intensities : rows of the key `intensity`.
    """
    peak, kind, file = summary.peak, summary.distribution.photometric_type, summary.file
    own = {} if kind == "C" else {"H_deg": peak.horizontal_deg, "V_deg": peak.vertical_deg}
    across, up, depth = summary.opening.across_up_depth_m
    outline = "ellipse" if summary.opening.is_round else "rectangle" if across or up or depth else "point"
    return {
        "luminaire": identity.name,
        "title": identity.title,
        "data_class": identity.data_class,
        "uncertainty_percent": None
        if identity.uncertainty is None
        else {"in_beam": 100 * identity.uncertainty[0], "outside_beam": 100 * identity.uncertainty[1]},
        "source": {"title": identity.source, "status": identity.status},
        "format": file.format if file else "stated beam",
        "edition": file.title if file else "stated beam",
        "photometric_type": kind,
        "symmetry": file.symmetry if file else "none",
        "factors": dict(file.factors) if file else {},
        "flux_lm": summary.flux_lm,
        "rated_flux_lm": summary.rated_flux_lm,
        "power_w": identity.power_w or (file.input_watts if file else None) or None,
        "peak_cd": peak.candela,
        "peak_at": {"C_deg": peak.C_deg, "gamma_deg": peak.gamma_deg, **own},
        "beam_angle_deg": _widths(summary.beam_deg, "half"),
        "beam_angle_through_peak_deg": _widths(summary.beam_through_peak_deg, ""),
        "field_angle_deg": _widths(summary.field_deg, "a tenth"),
        "opening_m": {"shape": outline, "across": across, "up": up, "depth": depth},
        "tilt_deg": summary.tilt_deg,
        "flux_above_horizontal_lm": summary.flux_above_lm,
        **({"flux_above_horizontal_reason": NOT_KNOWN} if summary.flux_above_lm is None else {}),
        "ahead": [{"elevation_deg": angle, **known_candela(candela)} for angle, candela in summary.elevations],
        "colour": _colour(identity.colour),
        **_about_file(file),
        "warnings": [{"code": one.code, "line": one.line, "sentence": one.sentence} for one in summary.warnings],
        "intensity": list(intensities),
    }


def known_candela(candela: float | None) -> dict[str, Any]:
    """An intensity [cd] of the JSON form, or why there is none.

    Parameters
    ----------
    candela : None where it is not known.
    """
    return {"cd": candela} if candela is not None else {"cd": None, "reason": NOT_KNOWN}


def _widths(widths: Widths, share: str) -> dict[str, Any]:
    pairs = (("across", widths.across_deg), ("up", widths.up_deg))
    found: dict[str, Any] = {key: value if isfinite(value) else None for key, value in pairs}
    if widths.at_least:
        found["at_least"] = list(widths.at_least)
    reason = width_reason(widths, share) if share else ""
    return {**found, "reason": reason} if reason else found


def _colour(colour: LampColour | None) -> dict[str, Any] | None:
    if colour is None:
        return None
    figures: dict[str, Known[Any]] = {
        "xy": colour.chromaticity_xy,
        "cct_k": colour.cct_k,
        "duv": colour.duv,
        "sp_ratio": colour.sp_ratio,
    }
    return {
        "name": colour.name,
        **{key: _known(known) for key, known in figures.items()},
        "regions": [
            {"region": str(one.region), "verdict": one.verdict, "says": one.says} for one in check_colour(colour)
        ],
        "notes": list(colour.notes),
    }


def _known(known: Known[Any]) -> dict[str, Any]:
    if known.value is None:
        return {"value": None, "reason": known.because}
    said = known.source
    return {"value": known.value, "source": str(said) if said else "", "status": said.status if said else ""}


def _about_file(file: PhotometricFile | None) -> dict[str, Any]:
    """How the values of a file came about, and what it holds besides."""
    tilt, made = (file.tilt, file.generation) if file else (None, None)
    return {
        "basis": file.basis if file else None,
        "points": [
            {"H_deg": one.h_deg, "V_deg": one.v_deg, "cd": one.candela} for one in (file.points if file else ())
        ],
        "file_generation": {"token": made.token, "words": list(made.words)} if made else None,
        "tilt_table": {"geometry": tilt.geometry, "angles_deg": list(tilt.angles_deg), "factors": list(tilt.factors)}
        if tilt
        else None,
        "keywords": [[key, text] for key, text in (file.keywords if file else ())],
    }


def luminaire_table(rows: Sequence[tuple[Identity, Summary]], folder: str) -> Table:
    """Luminaires one under the other, with the figures in which they differ.

    Parameters
    ----------
    rows : who they are and their figures; all at one tilt.
    folder : where they are from.
    """
    header = ("luminaire", "format", "lm", "peak", "beam", "up %", "data", "codes")
    tilt = rows[0][1].tilt_deg if rows else 0.0
    note = (
        "Initial light at full output. Format: with the photometric type. Peak: cd. Beam: full width at half of "
        f"the peak, across x up, deg. Up: share of the flux above the horizontal, beam tilted {tilt:g} deg. > before a "
        "width, ? for a share: the data end where the lamp is still bright. Data: measured, fitted from one or several "
        "figures, or the least that a rule requires. Codes: of warnings, in words when one luminaire is shown."
    )
    invented = [identity.name for identity, _ in rows if identity.status == "invented"]
    if invented:
        which = "all" if len(invented) == len(rows) else ", ".join(invented)
        note += f" Invented demonstration data: {which}."
    return Table(f"Luminaires of {folder}", header, tuple(_cells(*row) for row in rows), note)


def _cells(identity: Identity, summary: Summary) -> tuple[str, ...]:
    file, flux = summary.file, summary.flux_lm
    required = file is not None and file.basis == "required minimum"
    data = {"measured file": "measured"}.get(identity.data_class, identity.data_class.removeprefix("fitted from "))
    upward = summary.flux_above_lm
    share = "?" if upward is None else f"{100.0 * upward / flux:.1f}" if flux > 0.0 else ""
    return (
        identity.name,
        f"{file.format.removesuffix(' table') if file else 'beam'} {summary.distribution.photometric_type}",
        figure(flux),
        figure(summary.peak.candela),
        _pair(summary.beam_deg),
        share,
        "required" if required else data.removesuffix(" figures").removesuffix(" figure"),
        " ".join(str(code) for code in sorted({one.code for one in summary.warnings})),
    )


def _pair(widths: Widths) -> str:
    marked = (("across", widths.across_deg), ("up", widths.up_deg))
    return " x ".join(
        (">" if name in widths.at_least else "") + f"{one:.0f}" if isfinite(one) else "-" for name, one in marked
    )
