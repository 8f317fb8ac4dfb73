"""`scenelux validate`: checks documents and computes nothing."""

from __future__ import annotations

from typing import Annotated

import typer

from scenelux.cli.options import Json

__all__ = ["validate"]

_SCHEMAS = ("scene", "luminaire", "switching")

SCHEMA = "Print the JSON Schema of a scene; with the word luminaire or switching as FILE, that of one."


def validate(
    files: Annotated[
        list[str] | None, typer.Argument(metavar="FILE...", help="Scenes or luminaire cards, or shipped scenes' names.")
    ] = None,
    schema: Annotated[bool, typer.Option("--schema", help=SCHEMA)] = False,
    json: Json = False,
) -> None:
    """Check scenes and luminaire cards without computing anything.

    Prints one line for each file: what it holds, or the first thing that is wrong and where it stands.
    Exit status 0 when all are good, 2 when one is not.

    With --schema, prints the JSON Schema of a scene, or that of a card for: validate --schema luminaire (or switching)

    Example: scenelux validate my-truck.toml
    """
    from scenelux.errors import UsageError

    if schema:
        _print_schema(" ".join(files or ("scene",)))
        return
    if not files:
        raise UsageError("needs a file", key="validate", accepted="name one or more, or give --schema")
    rows = [_row(name) for name in files]
    _print(rows, json)
    if not all(row["valid"] for row in rows):
        raise typer.Exit(2)


def _print_schema(name: str) -> None:
    from scenelux.errors import UsageError

    if name not in _SCHEMAS:
        raise UsageError("has no schema", key="--schema", value=name, accepted=f"give {' or '.join(_SCHEMAS)}")
    from scenelux.scene.schema import schema_text

    typer.echo(schema_text(name), nl=False)  # type: ignore[arg-type]


def _print(rows: list[dict[str, object]], json: bool) -> None:
    if json:
        import json as writer

        typer.echo(writer.dumps({"files": rows}, indent=1, ensure_ascii=False))
        return
    for row in rows:
        if row["valid"]:
            typer.echo(f"{row['file']}: good; {row['holds']}")
        else:
            typer.echo(f"scenelux: {row['error']}", err=True)


def _row(name: str) -> dict[str, object]:
    """What a document is and holds, or the first thing that is wrong with it."""
    from scenelux.errors import InputError
    from scenelux.scene.read import check_document

    try:
        found = check_document(name)
    except InputError as error:
        place = {"line": error.line, "column": error.column, "key": error.key}
        return {"file": name, "valid": False, "error": str(error), **place}
    return {"file": name, "valid": True, "kind": found.kind, "holds": found.holds}
