"""`scenelux new`: starts a scene with comments."""

from __future__ import annotations

import typer

__all__ = ["new"]


def new(
    name: str = typer.Argument(..., metavar="NAME", help="Name of the scene; NAME.toml is written here."),
) -> None:
    """Start a scene: a small truck with comments on every key, ready to be studied.

    An existing file is never overwritten.

    Example: scenelux new my-truck
    """
    from shlex import quote

    from scenelux.scene.template import write_template

    path = write_template(name)
    typer.echo(f"{path} written; next: scenelux study {quote(str(path))} --out out")
