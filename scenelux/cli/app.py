"""All commands under one name."""

from __future__ import annotations

import typer

from scenelux.cli import approach, compare, dusk, luminaire, new, probe, prove, signal, study, validate, view

__all__ = ["app"]

app = typer.Typer(
    name="scenelux",
    help="Light around a working vehicle at night: lux for the crew, glare for drivers, and the rules it must meet.\n\n"
    "Start with: scenelux study causeway-truck --out out/causeway",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    no_args_is_help=True,
    add_completion=False,
)
app.command()(study.study)
app.command()(compare.compare)
app.command()(probe.probe)
app.command()(view.view)
app.command()(approach.approach)
app.command()(signal.signal)
app.command()(dusk.dusk)
app.command()(validate.validate)
app.command()(prove.prove)
app.command()(new.new)
app.add_typer(luminaire.app, name="luminaire")


@app.callback(invoke_without_command=True)
def start(
    version: bool = typer.Option(False, "--version", help="Print the version and stop."),
) -> None:
    if version:
        import scenelux

        typer.echo(f"scenelux {scenelux.__version__}")
        raise typer.Exit
