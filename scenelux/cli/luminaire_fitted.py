"""What `scenelux luminaire fit` writes and prints: the photometric file, its card, the table, the JSON form."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

if TYPE_CHECKING:
    from scenelux.photometry.fit import Claims, Fit, Residual

__all__ = ["fit_card", "fit_document", "fit_file", "print_fit"]


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
    typer.echo(f"{'claim':{width}}  {'stated':>12}  {'fitted':>12}  {'apart':>8}")
    for one in found.residuals:
        stated, fitted = (f"{_number(value):>12}" for value in (one.stated, one.fitted))
        typer.echo(f"{one.claim:{width}}  {stated}  {fitted}  {_percent(one):>8}  {one.unit}")
    typer.echo("")
    tried = ", ".join(
        f"{one.form} {one.misfit_percent:.1f} %" if one.misfit_percent is not None else f"{one.form} not: {one.because}"
        for one in found.tried
    )
    for name, text in (
        ("beam", f"{found.form}, {_beam_in_words(found)}"),
        ("misfit", tried),
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
    return f"{round(one.percent, 1) + 0.0:+.1f} %"


def _row_in_words(one: Residual) -> str:
    return f"{one.claim}: stated {_number(one.stated)}, fitted {_number(one.fitted)} {one.unit} ({_percent(one)})"


def _cutoff_in_words(claims: Claims) -> str:
    return f"nothing at or above {claims.cutoff_above_deg:g} deg"


def _beam_in_words(found: Fit) -> str:
    words = {key.rpartition("_")[0].replace("_", " "): value for key, value in vars(found.beam).items()}
    units = {"flux": "lm"}
    return ", ".join(f"{key} {value:g} {units.get(key, 'deg')}" for key, value in words.items() if value is not None)


def _uncertainty_in_words(found: Fit) -> str:
    sure = found.uncertainty_percent
    return f"{sure.in_beam_percent:.0f} % in the beam, {sure.outside_beam_percent:.0f} % outside it"


def fit_document(found: Fit, out: Path, card: Path) -> dict[str, Any]:
    """The JSON form of the command."""
    from dataclasses import asdict

    sure = found.uncertainty_percent
    return {
        "claims": {key: value for key, value in asdict(found.claims).items() if value not in (None, ())},
        "form": found.form,
        "beam": dict(vars(found.beam)),
        "tried": [
            {"form": one.form, "misfit_percent": None if one.misfit_percent is None else _six(one.misfit_percent),
             "because": one.because}
            for one in found.tried
        ],
        "residuals": [
            {"claim": one.claim, "stated": one.stated, "fitted": _six(one.fitted), "percent": _six(one.percent),
             "unit": one.unit, "upper_limit": one.limit}
            for one in found.residuals
        ],
        "uncertainty_percent": {"in_beam": _six(sure.in_beam_percent), "outside_beam": _six(sure.outside_beam_percent)},
        "data_class": found.data_class,
        "warnings": [{"code": one.code, "sentence": one.sentence} for one in found.warnings],
        "files": [str(out), str(card)],
    }  # fmt: skip


def _six(value: float) -> float:
    return float(f"{value:.6g}") + 0.0
