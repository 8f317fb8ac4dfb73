"""Puts the top-level data folders inside the wheel, where `scenelux.shipped` finds them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface

FOLDERS = ("luminaires", "scenes", "shared")


class DataFolders(BuildHookInterface):  # type: ignore[type-arg]
    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        if version == "editable":  # an editable install reads the top-level folders themselves
            return
        for folder in FOLDERS:
            for file in sorted(Path(self.root, folder).rglob("*")):
                if file.is_file() and file.suffix != ".png":  # pictures are for readers of the repository
                    inside = file.relative_to(self.root).as_posix()
                    build_data["force_include"][str(file)] = f"scenelux/_shipped/{inside}"
