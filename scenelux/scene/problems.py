"""Turns what pydantic found wrong into one sentence about the first problem of a document."""

from __future__ import annotations

import re
import types
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal, TypeVar, Union, get_args, get_origin

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from scenelux.errors import DocumentError
from scenelux.scene.document import Document
from scenelux.scene.fields import Quantity, Table, Wording
from scenelux.scene.positions import KeyPath
from scenelux.scene.quantities import DIMENSIONS
from scenelux.scene.words import near
from scenelux.units import UnitSystem

__all__ = ["first_problem", "validated"]

Model = TypeVar("Model", bound=Table)

_NOT_TABLE = ("model_type", "dict_type", "mapping_type", "model_attributes_type")
_NOT_LIST = ("tuple_type", "list_type")
_NOT_COUNT = ("int_type", "int_from_float", "int_parsing", "greater_than_equal")


def validated(model: type[Model], document: Document, context: Mapping[str, object]) -> Model:
    """The document as a model, or an error about its first problem.

    Parameters
    ----------
    model : the tables that are expected.
    document : as parsed.
    context : "units" of bare numbers.
    """
    try:
        return model.model_validate(document.table, context=dict(context))
    except ValidationError as failure:
        details = failure.errors(include_url=False)
    raise first_problem([_error(model, document, detail) for detail in _written(document, details)])


def first_problem(errors: list[DocumentError]) -> DocumentError:
    """The first of several errors in the order of the document; it says how many follow."""
    ordered = sorted(errors, key=lambda error: (error.line or 0, error.column or 0))
    first, more = ordered[0], len(ordered) - 1
    if more:
        follow = f"{more} more problem{'s follow' if more > 1 else ' follows'}"
        first.accepted = f"{first.accepted} ({follow})" if first.accepted else follow
    return first


def _written(document: Document, details: list[ErrorDetails]) -> list[ErrorDetails]:
    """Without errors of values that were filled in from elsewhere, when the place they came from is named too."""
    there = [d for d in details if d["type"] == "missing" or _path(d) in document.places]
    # A key that is missing in a table with an unknown key is most likely that one, misspelt.
    misspelt = {_path(d)[:-1] for d in details if d["type"] == "extra_forbidden"}
    there = [d for d in there if d["type"] != "missing" or _path(d)[:-1] not in misspelt]
    # A list whose only elements are wrong counts as empty: the elements are what is wrong.
    around = {_path(d)[:length] for d in there for length in range(len(_path(d)))}
    return [d for d in there if d["type"] != "too_short" or _path(d) not in around] or details


def _path(detail: ErrorDetails) -> KeyPath:
    return tuple(part for part in detail["loc"] if part != "[key]")


def _error(model: type[Table], document: Document, detail: ErrorDetails) -> DocumentError:
    kind, path = detail["type"], _path(detail)
    context: Mapping[str, Any] = detail.get("ctx", {})
    if detail["loc"][-1:] == ("[key]",):
        return document.error(path, "is not a name that can be used here", context.get("accepted"), at_key=True)
    if kind == "problem":
        # What is wrong with a whole table is said without repeating the table.
        table = isinstance(detail["input"], dict)
        if "key" in context:
            return document.error((*path, str(context["key"])), str(context["problem"]), str(context["accepted"]))
        return document.error(path, str(context["problem"]), str(context["accepted"]), show=not table)
    if kind == "missing":
        return _missing(model, document, path)
    if kind == "extra_forbidden":
        known = _keys(_annotation(model, path[:-1]))
        return document.error(path, "is not a key that is known here", near(str(path[-1]), known), at_key=True)
    return _wrong_type(model, document, path, kind, context)


def _missing(model: type[Table], document: Document, path: KeyPath) -> DocumentError:
    annotation = _annotation(model, path)
    if isinstance(path[-1], int):
        parts = get_args(_core(_annotation(model, path[:-1])))
        accepted = f"give {len(parts)}: {_accepted(parts[0], _system(document))[5:]}"
        return document.error(path[:-1], "has too few parts", accepted)
    return document.error(path, "is missing", _accepted(annotation, _system(document)), show=False)


def _wrong_type(
    model: type[Table], document: Document, path: KeyPath, kind: str, context: Mapping[str, Any]
) -> DocumentError:
    annotation, system = _annotation(model, path), _system(document)
    if kind == "literal_error":
        value = document.value(path)
        options = [str(option) for option in get_args(_core(annotation))]
        accepted = near(value, options) if isinstance(value, str) else _accepted(annotation, system)
        return document.error(path, "is not a word that is known here", accepted)
    if kind in _NOT_TABLE:
        return document.error(path, "is not a table", f"give a table with {', '.join(list(_keys(annotation))[:6])}"
                              if _keys(annotation) else "give a table")  # fmt: skip
    if kind in _NOT_LIST:
        return document.error(path, "is not a list", _accepted(annotation, system))
    if kind == "too_long":
        most = context.get("max_length")
        comma = re.search(r"[0-9],[0-9]", repr(document.value(path)))
        decimals = ", and write decimals with a point, such as 20.5" if comma else ""
        return document.error(path, "has too many parts", f"give {most}{decimals}" if most else None)
    if kind == "too_short":
        return document.error(path, "is empty", _accepted(annotation, system), show=False)
    if kind == "bool_type":
        return document.error(path, "is neither true nor false", "give true or false, without quotes")
    if kind in _NOT_COUNT:
        return document.error(path, "is not a count", "give a whole number of 1 or more")
    return document.error(path, "cannot be used here", _accepted(annotation, system))


def _system(document: Document) -> UnitSystem:
    """The units in which the document is written."""
    return "us" if document.table.get("units") == "us" else "metric"


def _accepted(annotation: Any, system: UnitSystem) -> str:
    """What a field accepts, in words."""
    for part in _layers(annotation):
        if isinstance(part, Quantity):
            return f"give {part.words(system)}, such as {DIMENSIONS[part.dimension].examples}"
        if isinstance(part, Wording):
            return part.accepted
    core = _core(annotation)
    if get_origin(core) is Literal:
        options = [f'"{option}"' for option in get_args(core)]
        return f"give {' or '.join(options)}"
    keys = _keys(core)
    if keys:
        return f"give a table with {', '.join(list(keys)[:6])}"
    arguments = get_args(core)
    if get_origin(core) is tuple and arguments[1:] == (...,):
        return f"give a list [...] whose parts are each {_accepted(arguments[0], system)[5:]}"
    if get_origin(core) is tuple:
        return f"give a list of {len(arguments)}: {_accepted(arguments[0], system)[5:]}"
    return "give a table" if get_origin(core) is not None else "give a value of the kind that the schema names"


def _keys(annotation: Any) -> dict[str, Any]:
    """Keys of a table as written -> their types."""
    core = _core(annotation)
    if not (isinstance(core, type) and issubclass(core, Table)):
        return {}
    return {
        field.alias or name: Annotated[(field.annotation, *field.metadata)] if field.metadata else field.annotation
        for name, field in core.model_fields.items()
    }


def _annotation(model: type[Table], path: KeyPath) -> Any:
    """The type of what stands at a path; object where nothing is known."""
    found: Any = model
    for part in path:
        core = _core(found)
        keys, arguments = _keys(core), get_args(core)
        if keys:
            found = keys.get(str(part), object)
        elif get_origin(core) is tuple and isinstance(part, int):
            found = arguments[0] if arguments[1:] == (...,) else arguments[min(part, len(arguments) - 1)]
        else:
            found = arguments[-1] if arguments else object
    return found


def _layers(annotation: Any) -> Iterator[Any]:
    """The annotation and all that is wrapped around it."""
    yield annotation
    if get_origin(annotation) is Annotated:
        for part in get_args(annotation):
            yield from _layers(part)
    elif get_origin(annotation) in (Union, types.UnionType):
        for part in get_args(annotation):
            if part is not type(None):
                yield from _layers(part)


def _core(annotation: Any) -> Any:
    """The annotation without Annotated and without None."""
    plain = [layer for layer in _layers(annotation) if get_origin(layer) not in (Annotated, Union, types.UnionType)]
    return next((layer for layer in plain if isinstance(layer, type) or get_origin(layer) is not None), object)
