"""Writes results beside their place first, and moves them there only when every file is ready."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import BrokenExecutor, Executor, Future
from contextlib import suppress
from pathlib import Path
from typing import Any

from scenelux.errors import UsageError
from scenelux.pictures import comparison_sheets
from scenelux.pictures.sheet import Sheet, png_bytes
from scenelux.reports.compare import difference_document, opening_lines
from scenelux.reports.documents import json_text
from scenelux.reports.html import Picture, comparison_page, study_page
from scenelux.reports.summary import study_document
from scenelux.reports.tables import table_files
from scenelux.study.results import StudyResult, VariantResult

__all__ = ["place_files", "write_comparison_files", "write_study_files"]

Files = Iterable[tuple[str, bytes]]
Progress = Callable[[str], None]

_OURS = (".png", ".csv", ".npz", ".json", ".html", ".pdf", ".hdr", ".webp", ".mp4")


def write_study_files(
    result: StudyResult,
    out: Path,
    progress: Progress | None,
    colours: str,
    every_light: bool,
    executor: Executor | None,
) -> list[Path]:
    """Writes a study: summary.json, report.html, report.pdf, sheets and tables.

    Parameters
    ----------
    result : the study.
    out : the folder.
    progress : told in words what is being made.
    colours : "inferno" or "cividis".
    every_light : draw every light level of every state and every area.
    executor : draws the PDF meanwhile; None draws it in turn.
    """
    files = _study_files(result, progress or _quiet, colours, every_light, executor)
    return place_files(files, out, "summary.json", study_document(result))


def write_comparison_files(
    result: StudyResult, one: VariantResult, other: VariantResult, out: Path, progress: Progress | None, colours: str
) -> list[Path]:
    """Writes a comparison: comparison.json, comparison.html, comparison.pdf and sheets.

    Parameters
    ----------
    result : the study.
    one, other : the variants.
    out : the folder.
    progress : told in words what is being made.
    colours : "inferno" or "cividis".
    """
    files = _comparison_files(result, progress or _quiet, one, other, colours)
    return place_files(files, out, "comparison.json", difference_document(result, one.name, other.name))


def _quiet(_: str) -> None:
    return None


def _study_files(
    result: StudyResult, progress: Progress, colours: str, every_light: bool, executor: Executor | None
) -> Iterator[tuple[str, bytes]]:
    from scenelux.reports.pdf import PdfWriter, study_text_pages

    meanwhile = _begun(executor, result, colours, every_light)
    progress("tables")
    yield from table_files(result)
    pdf = PdfWriter(result.title)
    if meanwhile is None:
        pdf.add_all(study_text_pages(result))
    pictures: dict[str, list[Picture]] = {variant.name: [] for variant in result.variants}
    for variant, name, sheet in _named_sheets(result, colours, every_light):
        progress(name)
        pictures[variant].append(Picture(name, png_bytes(sheet), str(sheet.get_label())))
        if meanwhile is None:
            pdf.add(sheet)
        yield name, pictures[variant][-1].png
    yield "report.html", study_page(result, pictures).encode("utf-8")
    yield "report.pdf", pdf.finish() if meanwhile is None else _drawn(meanwhile, result, colours, every_light)
    progress("results")


def _begun(executor: Executor | None, result: StudyResult, colours: str, every_light: bool) -> Future[bytes] | None:
    """The PDF under way in the other process; None when there is none, or when it has ended."""
    from scenelux.reports.pdf import study_pdf

    try:
        return executor.submit(study_pdf, result, colours, every_light) if executor else None
    except BrokenExecutor:
        return None


def _drawn(meanwhile: Future[bytes], result: StudyResult, colours: str, every_light: bool) -> bytes:
    """The PDF from the other process; drawn here when that process could not start or was ended."""
    from scenelux.reports.pdf import study_pdf

    try:
        return meanwhile.result()
    except BrokenExecutor:
        return study_pdf(result, colours, every_light)


def _named_sheets(result: StudyResult, colours: str, every_light: bool) -> Iterator[tuple[str, str, Sheet]]:
    """Every sheet with its variant and file name."""
    from scenelux.pictures.scale import lux_scale
    from scenelux.pictures.sheets import sheets_of_variant

    scale = lux_scale(result, colours)
    for variant in result.variants:
        for name, sheet in sheets_of_variant(result, variant, scale, every_light=every_light):
            yield variant.name, name, sheet


def _comparison_files(
    result: StudyResult, progress: Progress, one: VariantResult, other: VariantResult, colours: str
) -> Iterator[tuple[str, bytes]]:
    from scenelux.reports.pdf import PdfWriter, text_pages

    pdf, pictures = PdfWriter(f"{result.title}: {one.name} and {other.name}"), []
    lines = opening_lines(result, one, other)
    pdf.add_all(text_pages(result, f"What differs · {one.name} and {other.name}", "In words", lines))
    for name, sheet in comparison_sheets(result, one.name, other.name, colours=colours):
        progress(name)
        png = png_bytes(sheet)
        pictures.append(Picture(name, png, str(sheet.get_label())))
        pdf.add(sheet)
        yield name, png
    yield "comparison.html", comparison_page(result, one, other, pictures).encode("utf-8")
    yield "comparison.pdf", pdf.finish()
    progress("results")


def place_files(files: Files, out: Path, index: str, document: dict[str, Any]) -> list[Path]:
    """Makes every file in a folder beside `out`, then moves them in, the index last.

    The index lists the files; those that an earlier index lists and this run does not make are removed, so
    that no picture of an older study stays behind. Whatever fails, the folder is as it was.

    Parameters
    ----------
    files : names and contents; may fail half-way, which leaves `out` as it was.
    out : the folder; a file of that name is refused.
    index : name of the JSON document that lists the files.
    document : that document without its list.
    """
    try:
        return _stage_and_move(files, Path(out).absolute(), index, document)
    except OSError as error:
        reason = error.strerror or type(error).__name__
        raise UsageError(f"cannot be written ({reason})", key="--out", value=str(out)) from error


def _stage_and_move(files: Files, out: Path, index: str, document: dict[str, Any]) -> list[Path]:
    if out.exists() and not out.is_dir():
        raise UsageError("is a file", key="--out", value=str(out), accepted="give a folder")
    out.parent.mkdir(parents=True, exist_ok=True)
    made = not out.exists()
    out.mkdir(exist_ok=True)  # a name that cannot be written is told before the work
    staging = Path(tempfile.mkdtemp(prefix=".scenelux-", dir=out.parent))
    try:
        names = _stage(files, staging, index, document)
        _move_in(staging, out, names, index)
        made = False
        return [out / name for name in names]
    finally:
        shutil.rmtree(staging, ignore_errors=True)
        if made:
            with suppress(OSError):
                out.rmdir()


def _stage(files: Files, staging: Path, index: str, document: dict[str, Any]) -> list[str]:
    names: list[str] = []
    for name, content in files:
        if name in (*names, index):
            hint = "give areas, states, light levels and variants ids that differ in letters or digits"
            raise UsageError("would be written twice", key="--out", value=name, accepted=hint)
        (staging / name).write_bytes(content)
        names.append(name)
    names.append(index)
    (staging / index).write_text(json_text({**document, "files": names}), encoding="utf-8")
    return names


def _move_in(staging: Path, out: Path, names: list[str], index: str) -> None:
    """Moves earlier results aside and new ones in, the index first out and last in; puts all back on a failure."""
    earlier = [name for name in (index, *sorted({*_listed(out / index), *names} - {index})) if (out / name).exists()]
    if folder := next((name for name in earlier if (out / name).is_dir()), None):
        raise UsageError("is a folder", key="--out", value=str(out / folder), accepted="move it away")
    aside = staging / "earlier"
    aside.mkdir()
    moved: list[str] = []
    try:
        for name in earlier:
            os.replace(out / name, aside / name)
        for name in names:
            os.replace(staging / name, out / name)
            moved.append(name)
    except BaseException:
        for name in moved:
            (out / name).unlink()
        for file in aside.iterdir():
            os.replace(file, out / file.name)
        raise


def _listed(index: Path) -> set[str]:
    """Files that an earlier run lists as its own; only plain names of the kinds written here."""
    try:
        listed = json.loads(index.read_text(encoding="utf-8")).get("files", [])
    except (OSError, ValueError, AttributeError):
        return set()
    names = {name for name in listed if isinstance(name, str)} if isinstance(listed, list) else set()
    return {name for name in names if Path(name).name == name and name.endswith(_OURS)}
