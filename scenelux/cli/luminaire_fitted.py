"""What `scenelux luminaire fit` writes and prints: the photometric file, its card, the table, the JSON form."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

if TYPE_CHECKING:
    from scenelux.photometry import Widths
    from scenelux.photometry.fit import Claims, Fit, Residual

__all__ = ["fit_card", "fit_document", "fit_file", "print_fit"]

_HEAD = "apart, of stated"


def fit_file(found: Fit, title: str, manufacturer: str) -> bytes:
    """The LM-63 file of a fit; its keywords state every claim and what became of it."""
    from scenelux.names import CALCULATED_FROM_BEAM
    from scenelux.photometry import write_lm63

    keywords = [
        ("TEST", "None, fitted to the figures of a data sheet"),
        ("TESTLAB", f"None, {CALCULATED_FROM_BEAM}"),
        ("ISSUEDATE", "Not stated"),
        ("MANUFAC", manufacturer),
        ("LUMINAIRE", title),
        *(("_CLAIM", f"{one.claim}: {_number(one.stated)} {one.unit}") for one in found.residuals),
        *((("_CLAIM", _cutoff_in_words(found.claims)),) if found.claims.cutoff_above_deg is not None else ()),
        ("OTHER", f"Beam {found.form}, {_beam_in_words(found)}"),
        *(("OTHER", f"Fit of {_row_in_words(one)}") for one in found.residuals),
        ("OTHER", f"Uncertainty {_uncertainty_in_words(found)}; {found.data_class}"),
        *(("OTHER", f"Warning {one}") for one in found.warnings),
    ]
    return write_lm63(found.distribution, keywords)


def fit_card(found: Fit, name: str, ies: bytes, title: str, kind: str) -> bytes:
    """The luminaire card that names the file."""
    from hashlib import sha256

    from scenelux.scene.card_text import card_text

    table = {
        "name": title,
        "kind": kind,
        "file": name,
        "sha256": sha256(ies).hexdigest(),
        "data_class": found.data_class,
        "uncertainty": {
            "in_beam": f"{found.uncertainty_percent.in_beam_percent:.0f} %",
            "outside_beam": f"{found.uncertainty_percent.outside_beam_percent:.0f} %",
        },
        "source": {"title": "Data sheet, fitted", "status": "own"},
    }
    return card_text(table).encode("utf-8")


def print_fit(found: Fit, out: Path, card: Path) -> None:
    """Prints the residuals, the beam, how sure it is, and the warnings."""
    from shlex import quote

    width = max(len(one.claim) for one in found.residuals)
    typer.echo(f"{'claim':{width}}  {'stated':>12}  {'fitted':>12}  {_HEAD}")
    for one in found.residuals:
        stated, fitted = (f"{_number(value):>12}" for value in (one.stated, one.fitted))
        typer.echo(f"{one.claim:{width}}  {stated}  {fitted} {one.unit:3} {_percent(one):>9}")
    typer.echo("")
    for name, text in (
        ("beam", f"{found.form}, {_beam_in_words(found)}"),
        *_finished_rows(found),
        ("misfit", _misfits_in_words(found)),
        ("data class", found.data_class),
        ("uncertainty", _uncertainty_in_words(found)),
        *(("warning", str(one)) for one in found.warnings),
    ):
        typer.echo(f"{name:12} {text}")
    typer.echo(f"{out} and {card.name} written; look at it with: scenelux luminaire show {quote(str(card))}")


def _number(value: float) -> str:
    from scenelux.photometry.fit import rounded

    return rounded(value, 5)


def _percent(one: Residual) -> str:
    """The difference in percent of the stated value, of a dim point in percent of the peak."""
    of_peak = one.percent_of_peak
    if of_peak is not None and one.is_small:
        return f"{round(of_peak, 1) + 0.0:+.1f} % of peak"
    return f"{round(one.percent, 1) + 0.0:+.1f} %"


def _misfits_in_words(found: Fit) -> str:
    tried = ", ".join(
        f"{one.form} {one.misfit_percent:.1f} %" if one.misfit_percent is not None else f"{one.form} not: {one.because}"
        for one in found.tried
    )
    return f"{tried} (root mean square); {_why(found)}"


def _why(found: Fit) -> str:
    from scenelux.photometry.fit import EQUAL_MISFIT

    if found.claims.form is not None:
        return f"{found.form} was asked for"
    return f"{found.form} is the simplest within {100.0 * EQUAL_MISFIT:g} points of the least"


def _finished_rows(found: Fit) -> list[tuple[str, str]]:
    """What the table of the file amounts to, by the measures of `luminaire show`."""
    from scenelux.pictures.luminaire_facts import width_reason

    flux, candela, half, tenth = _finished(found)
    rows = [("as written", f"flux {_number(flux)} lm, peak {_number(candela)} cd")]
    for name, widths, share, level in (("beam angle", half, "half", 50), ("field angle", tenth, "a tenth", 10)):
        reason = width_reason(widths, share)
        rows.append((name, f"{_pair(widths)} ({level} % of the peak)" + (f"; {reason}" if reason else "")))
    return rows


def _finished(found: Fit) -> tuple[float, float, Widths, Widths]:
    from scenelux.photometry import beam_angles, default_orientation, field_angles, flux_lm, peak

    table = found.distribution
    mounted = default_orientation(table.photometric_type)
    return flux_lm(table), peak(table).candela, beam_angles(table, mounted), field_angles(table, mounted)


def _pair(widths: Widths) -> str:
    from math import isfinite

    parts = (f"{value:.1f} deg" if isfinite(value) else "none" for value in (widths.across_deg, widths.up_deg))
    return "{} across, {} up".format(*parts)


def _row_in_words(one: Residual) -> str:
    return f"{one.claim}: stated {_number(one.stated)}, fitted {_number(one.fitted)} {one.unit} ({_percent(one)})"


def _cutoff_in_words(claims: Claims) -> str:
    return f"nothing at or above {claims.cutoff_above_deg:g} deg"


def _beam_in_words(found: Fit) -> str:
    words = {key.rpartition("_")[0].replace("_", " "): value for key, value in vars(found.beam).items()}
    units = {"flux": "lm"}
    said = [f"{key} {value:g} {units.get(key, 'deg')}" for key, value in words.items() if value is not None]
    right, up = found.centre_deg
    moved = [f"centre {right:g} deg right, {up:g} deg up"] if found.centre_deg != (0.0, 0.0) else []
    return ", ".join(said + moved)


def _uncertainty_in_words(found: Fit) -> str:
    sure = found.uncertainty_percent
    return f"{sure.in_beam_percent:.0f} % in the beam, {sure.outside_beam_percent:.0f} % outside it"


def fit_document(found: Fit, out: Path, card: Path) -> dict[str, Any]:
    """The JSON form of the command."""
    from dataclasses import asdict

    sure = found.uncertainty_percent
    right, up = found.centre_deg
    return {
        "claims": {key: value for key, value in asdict(found.claims).items() if value not in (None, ())},
        "form": found.form,
        "form_because": _why(found),
        "beam": dict(vars(found.beam)),
        "centre_deg": {"right": right, "up": up},
        "finished": _finished_document(found),
        "tried": [
            {"form": one.form, "misfit_percent": None if one.misfit_percent is None else _six(one.misfit_percent),
             "because": one.because}
            for one in found.tried
        ],
        "residuals": [_residual_document(one) for one in found.residuals],
        "uncertainty_percent": {"in_beam": _six(sure.in_beam_percent), "outside_beam": _six(sure.outside_beam_percent)},
        "data_class": found.data_class,
        "warnings": [{"code": one.code, "sentence": one.sentence} for one in found.warnings],
        "files": [str(out), str(card)],
    }  # fmt: skip


def _residual_document(one: Residual) -> dict[str, Any]:
    """A claim; the percentages are null where the stated value is 0, and of figures that are no points."""
    of_peak = one.percent_of_peak
    return {
        "claim": one.claim,
        "stated": one.stated,
        "fitted": _six(one.fitted),
        "percent": _six(one.percent) if one.stated else None,
        "percent_of_peak": None if of_peak is None else _six(of_peak),
        "unit": one.unit,
        "upper_limit": one.limit,
    }


def _finished_document(found: Fit) -> dict[str, Any]:
    from math import isfinite

    from scenelux.pictures.luminaire_facts import width_reason

    flux, candela, *both = _finished(found)
    told: dict[str, Any] = {"flux_lm": _six(flux), "peak_cd": _six(candela)}
    for key, widths, share in zip(("beam_angle_deg", "field_angle_deg"), both, ("half", "a tenth"), strict=True):
        pair = {"across": widths.across_deg, "up": widths.up_deg}
        told[key] = {name: _six(value) if isfinite(value) else None for name, value in pair.items()}
        reason = width_reason(widths, share)
        if reason:
            told[key]["reason"] = reason
    return told


def _six(value: float) -> float:
    return float(f"{value:.6g}") + 0.0
