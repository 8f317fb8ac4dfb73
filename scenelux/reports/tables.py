"""Grids and curves as CSV (RFC 4180) and as one .npz, with the same bytes for the same study."""

from __future__ import annotations

import csv
import io
import math
import zipfile
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from scenelux.names import slug
from scenelux.study.results import AreaResult, EyeEntry, EyeResult, StudyResult

__all__ = ["approach_csv", "area_csv", "csv_bytes", "npz_bytes", "table_files"]

Array = NDArray[np.float64]


def table_files(result: StudyResult) -> Iterator[tuple[str, bytes]]:
    """Every table file of a study with its name."""
    for variant in result.variants:
        for area in variant.areas:
            yield f"{slug('area', variant.name, area.area_id)}.csv", area_csv(area)
        if variant.eyes:
            yield f"{slug('approach', variant.name)}.csv", approach_csv(variant.eyes)
    yield "grids.npz", npz_bytes(_arrays(result))


def area_csv(area: AreaResult) -> bytes:
    """Points of an area and their maintained illuminance, a column for each duty state and light level."""
    names = [f"{entry.state} {entry.light} [lx]" for entry in area.entries]
    columns = [*area.points_m.T, *(entry.illuminance_lx for entry in area.entries)]
    return csv_bytes(["along_m", "left_m", "up_m", *names], zip(*(column.tolist() for column in columns), strict=True))


def approach_csv(eyes: Sequence[EyeResult]) -> bytes:
    """Every station of every eye in every duty state at every light level with every gaze."""
    header = ["eye", "state", "light", "gaze", "distance_m", "eye_illuminance_lx", "glare_angle_deg"]
    header += ["veiling_luminance_cd_m2", "threshold_increment_percent", "discomfort_rating"]
    if any(entry.air_luminance_cd_m2 is not None for eye in eyes for entry in eye.entries):
        header.append("air_luminance_cd_m2")
    return csv_bytes(header, (row for eye in eyes for entry in eye.entries for row in _stations(eye, entry)))


def _stations(eye: EyeResult, entry: EyeEntry) -> Iterator[list[str | float]]:
    veil = entry.veil_cd_m2[eye.headline_form]
    series = [eye.distances_m, entry.eye_illuminance_lx, entry.glare_angle_deg, veil]
    series += [entry.threshold_increment_percent, entry.discomfort_rating]
    series += [] if entry.air_luminance_cd_m2 is None else [entry.air_luminance_cd_m2]
    for values in zip(*(one.tolist() for one in series), strict=True):
        yield [eye.eye_id, entry.state, entry.light, entry.gaze, *values]


def csv_bytes(header: Sequence[str], rows: Iterable[Sequence[str | float]]) -> bytes:
    """Numbers in six figures; what is not valid stays empty. A text that a spreadsheet would run gets a quote.

    Parameters
    ----------
    header : names of the columns, with units.
    rows : texts and numbers.
    """
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer, lineterminator="\r\n")
    writer.writerow([_cell(name) for name in header])
    writer.writerows([_cell(value) for value in row] for row in rows)
    return buffer.getvalue().encode("utf-8")


def _cell(value: str | float) -> str:
    if isinstance(value, str):
        return f"'{value}" if value[:1] in ("=", "+", "-", "@") else value
    return f"{value:.6g}" if math.isfinite(value) else ""


def _arrays(result: StudyResult) -> Iterator[tuple[str, Array]]:
    """Arrays in full precision by name: maps and areas, each lamp at full output, and its level in each state."""
    for variant in result.variants:
        name, site_map = variant.name, variant.map
        yield f"{name}/map/along_m", site_map.along_m
        yield f"{name}/map/left_m", site_map.left_m
        yield f"{name}/map/by_lamp_maintained_lx", site_map.by_lamp_lx
        for (state, light), level in site_map.levels.items():
            yield f"{name}/map/level/{state}/{light}", level
        for area in variant.areas:
            yield f"{name}/area/{area.area_id}/points_m", area.points_m
            yield f"{name}/area/{area.area_id}/by_lamp_initial_lx", area.by_lamp_lx
            for entry in area.entries:
                yield f"{name}/area/{area.area_id}/{entry.state}/{entry.light}/maintained_lx", entry.illuminance_lx


def npz_bytes(arrays: Iterable[tuple[str, Array]]) -> bytes:
    """Arrays as .npz with a fixed time stamp, read back by numpy.load."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for name, values in arrays:
            member = zipfile.ZipInfo(f"{name}.npy", date_time=(1980, 1, 1, 0, 0, 0))
            member.compress_type = zipfile.ZIP_DEFLATED
            member.create_system, member.external_attr = 3, 0o644 << 16
            body = io.BytesIO()
            np.lib.format.write_array(body, np.ascontiguousarray(values), version=(1, 0), allow_pickle=False)
            archive.writestr(member, body.getvalue(), compresslevel=1)
    return buffer.getvalue()
