"""Arrows point one way: which stage may import which, and where the heavy libraries may live."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).resolve().parents[2] / "scenelux"

BASE = {"errors", "sources", "units", "geometry", "shipped", "names", "timing"}
MAY_IMPORT = {
    "errors": set(),
    "sources": set(),
    "units": {"errors"},
    "geometry": set(),
    "shipped": set(),
    "names": set(),
    "grids": {"errors"},
    "timing": {"errors", "sources", "shipped"},
    "photometry": {"errors", "sources", "geometry", "units", "names"},
    "scene": BASE,
    "engine": {"errors"},
    "placement": {*BASE, "grids", "photometry", "scene", "engine", "colour", "vision", "signals"},
    "vision": {"errors", "sources", "shipped"},
    "colour": {"errors", "sources", "names", "shipped"},
    "switching": {"errors", "sources", "names", "shipped"},
    "signals": {"errors", "sources", "units", "names", "shipped", "timing"},
    "checks": {*BASE, "study.results"},
    "study": {
        *BASE,
        "grids",
        "photometry",
        "scene",
        "engine",
        "placement",
        "vision",
        "checks",
        "signals",
        "switching",
    },
    "prove": {*BASE, "grids", "photometry", "scene", "engine", "placement", "vision", "colour", "signals"},
    "pictures": {*BASE, "study.results", "photometry", "colour"},
    "reports": {*BASE, "study.results", "prove", "pictures", "photometry", "colour", "signals"},
    "cli": {
        *BASE,
        "photometry",
        "scene",
        "engine",
        "placement",
        "vision",
        "checks",
        "study",
        "prove",
        "pictures",
        "reports",
        "colour",
        "signals",
    },
}
"""Stage -> what it may import besides itself; a dotted name allows that module alone."""

HEAVY = {
    "numba": {"engine"},
    "pydantic": {"scene"},
    "matplotlib": {"pictures", "reports"},
    "typer": {"cli"},
    "rich": {"cli", "reports"},
    "scipy": {"photometry", "signals"},
    "imageio": set(),
    "PIL": {"pictures"},
    "av": {"pictures"},
}

MODULES = sorted(path for path in PACKAGE.rglob("*.py") if path.relative_to(PACKAGE).parts[0] not in ("_shipped",))


def stage_of(path: Path) -> str:
    first = path.relative_to(PACKAGE).parts[0]
    return first.removesuffix(".py")


def _for_types_only(block: ast.AST) -> bool:
    return isinstance(block, ast.If) and isinstance(block.test, ast.Name) and block.test.id == "TYPE_CHECKING"


def imports_of(path: Path) -> list[tuple[str, bool]]:
    """Imported module names, and whether the import runs when the module is loaded."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    inside_functions = {
        id(node)
        for block in ast.walk(tree)
        if isinstance(block, ast.FunctionDef | ast.AsyncFunctionDef) or _for_types_only(block)
        for node in ast.walk(block)
    }
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [(alias.name, id(node) not in inside_functions) for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.level == 0 and node.module:
            modules = [f"scenelux.{alias.name}" for alias in node.names] if node.module == "scenelux" else [node.module]
            found += [(module, id(node) not in inside_functions) for module in modules]
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_arrows_point_one_way(path: Path) -> None:
    stage = stage_of(path)
    if stage in ("__init__", "__main__"):
        return
    allowed = MAY_IMPORT[stage]
    for name, _ in imports_of(path):
        if not name.startswith("scenelux."):
            continue
        target = name.removeprefix("scenelux.")
        permitted = any(target == item or target.startswith(f"{item}.") for item in {*allowed, stage})
        assert permitted, f"{path.relative_to(PACKAGE)} imports {name}"


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_heavy_libraries_live_in_their_stage(path: Path) -> None:
    for name, _ in imports_of(path):
        library = name.split(".")[0]
        if library in HEAVY:
            assert stage_of(path) in HEAVY[library], f"{path.relative_to(PACKAGE)} imports {name}"


def test_no_pyplot_anywhere() -> None:
    assert not [path for path in MODULES if any("pyplot" in name for name, _ in imports_of(path))]


def test_commands_import_only_inside_their_functions() -> None:
    for path in (PACKAGE / "cli").glob("*.py"):
        at_load = {name for name, at_load in imports_of(path) if at_load and name.startswith("scenelux.")}
        assert at_load <= {"scenelux.errors"} | {n for n in at_load if n.startswith("scenelux.cli")}, path.name


def loaded_after(code: str) -> set[str]:
    result = subprocess.run(
        [sys.executable, "-c", f"{code}\nimport sys; print(' '.join(sys.modules))"],
        capture_output=True,
        text=True,
        check=True,
        cwd=PACKAGE.parent,
    )
    return set(result.stdout.splitlines()[-1].split())


def test_import_scenelux_is_light() -> None:
    assert not loaded_after("import scenelux") & {"numba", "pydantic", "matplotlib", "typer", "scipy", "imageio"}


def test_modules_are_short() -> None:
    lengths = {str(path.relative_to(PACKAGE)): len(path.read_text(encoding="utf-8").splitlines()) for path in MODULES}
    assert not {name: length for name, length in lengths.items() if length > 350}
