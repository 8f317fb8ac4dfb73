"""A commented scene to begin with."""

from __future__ import annotations

from pathlib import Path

from scenelux.errors import UsageError

__all__ = ["template_text", "write_template"]


def template_text() -> str:
    """The scene that `scenelux new` writes."""
    return Path(__file__).with_suffix(".toml").read_text(encoding="utf-8")


def write_template(name: str) -> Path:
    """Writes the scene to a new file and gives its path.

    Parameters
    ----------
    name : name or path, with or without .toml; an existing file is refused.
    """
    path = Path(name if name.endswith(".toml") else f"{name}.toml")
    if not name.strip() or "\0" in name or path.stem in ("", ".toml"):
        raise UsageError("is not a name for a file", value=name, accepted='give a name such as "my-truck"')
    try:
        with path.open("x", encoding="utf-8") as stream:
            stream.write(template_text())
    except FileExistsError:
        raise UsageError("is already there", value=str(path), accepted="give another name") from None
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise UsageError(f"cannot be written: {reason}", value=str(path), accepted="give a name in a folder") from None
    return path
