"""`scenelux luminaire`: the commands on photometric data under one name."""

from __future__ import annotations

import typer

from scenelux.cli.luminaire_convert import convert
from scenelux.cli.luminaire_fit import fit
from scenelux.cli.luminaire_make import make
from scenelux.cli.luminaire_show import show

__all__ = ["app"]

app = typer.Typer(
    help="Photometric data of luminaires: look at it, convert it, make it, fit it to a data sheet.",
    rich_markup_mode=None,
    no_args_is_help=True,
    add_completion=False,
)
app.command()(show)
app.command()(make)
app.command()(convert)
app.command()(fit)
