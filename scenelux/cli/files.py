"""Files that a command writes: all of them or none, and none over another without leave."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

__all__ = ["write_all"]


def write_all(files: Mapping[Path, bytes], force: bool) -> None:
    """Writes all files, each beside its place first and then moved in; where one is there with other content, none.

    Parameters
    ----------
    files : path and content.
    force : other content may be overwritten.
    """
    import os

    from scenelux.errors import UsageError

    for path, data in files.items():
        if not force and _holds_another(path, data):
            raise UsageError("is already there", value=str(path), accepted="give another name, or --force to overwrite")
    beside = {path: path.with_name(f".{path.name}.part") for path in files}
    try:
        for path, data in files.items():
            beside[path].write_bytes(data)
        for path in files:
            os.replace(beside[path], path)
    except OSError as error:
        raise UsageError(f"cannot be written: {error.strerror}", value=str(path)) from None
    finally:
        for part in beside.values():
            if os.path.lexists(part):  # never an error, as unlinking is for too long a name
                os.unlink(part)


def _holds_another(path: Path, data: bytes) -> bool:
    """Whether a file of that name is there that is not, byte for byte, the one to be written."""
    from os.path import lexists

    return lexists(path) and not (path.is_file() and path.stat().st_size == len(data) and path.read_bytes() == data)
