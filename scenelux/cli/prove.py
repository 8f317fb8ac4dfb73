"""`scenelux prove`: published reference cases, or the user's own, through the functions that studies use."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from scenelux.cli.options import Json, Quiet, console, print_json

__all__ = ["prove"]

CASES = "TOML or JSON file of your own cases, each {quantity, inputs, expected, tolerance_percent, source}."
ONLY = "Only cases of this quantity; may be repeated."
LIST = "Print the quantities with their inputs and results, and run nothing."


def prove(
    cases: Annotated[Path | None, typer.Option("--cases", metavar="FILE", help=CASES)] = None,
    only: Annotated[list[str] | None, typer.Option("--only", metavar="QUANTITY", help=ONLY)] = None,
    names: Annotated[bool, typer.Option("--list", help=LIST)] = False,
    markdown: Annotated[bool, typer.Option("--markdown", help="Print Markdown.")] = False,
    json: Json = False,
    quiet: Quiet = False,
) -> None:
    """Run published reference cases through the functions that studies use.

    Prints each with the published value, ours, the digits in which they agree, source and status.
    Exit status 0 when all agree, 3 when one does not, 2 when a file of cases cannot be used.

    In a file of cases nan (null in JSON) can be expected. Without tolerance_percent half a unit of the last digit
    of the expected value is allowed.

    Example: scenelux prove --cases my-cases.toml
    """
    from scenelux.errors import UsageError
    from scenelux.prove import QUANTITIES, prove, read_cases, shipped_cases, signature_of
    from scenelux.prove.signature import among
    from scenelux.reports import prove as report

    for name in only or ():
        if name not in QUANTITIES:
            raise UsageError("is not a quantity", key="--only", value=name, accepted=among(name, QUANTITIES))
    if names:
        signatures = [signature_of(function) for name, function in QUANTITIES.items() if not only or name in only]
        if json:
            print_json(report.list_document(signatures))
        elif markdown:
            typer.echo(report.list_markdown(signatures), nl=False)
        else:
            report.show_list(signatures, console())
        return
    found = prove(shipped_cases() if cases is None else read_cases(cases), only or ())
    if json:
        print_json(report.document(found))
    elif markdown:
        typer.echo(report.markdown(found), nl=False)
    elif not quiet:
        report.show(found, console())
    if any(one.verdict == "disagrees" for one in found):
        raise typer.Exit(3)
