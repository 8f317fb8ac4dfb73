"""What holds for any input of a photometric reader: it is read or refused; what is read is measured, written, read."""

from __future__ import annotations

import numpy as np

from scenelux.colour import chromaticity_of, read_spectrum
from scenelux.errors import InputError
from scenelux.photometry import (
    PhotometricFile,
    convert,
    flux_lm,
    peak,
    read_eulumdat,
    read_hv_table,
    read_lm63,
    read_photometric,
    read_tm33,
)

__all__ = ["usable"]

TARGETS = ("LM-63-2002", "LM-63-2019", "EULUMDAT", "TM-33", "H-V table")
TILT_FILE = b"1\n3\n0 45 90\n1 .9 .8\n"
NAMES_A_TILT_FILE = b"IESNA91\nTILT=lamp.tlt\n1 -1 1 2 1 1 2 0 0 0\n1 1 9\n0 90\n0\n100 0\n"
MOST_COMPARED = 3000
LEAST_STEP_DEG = 1e-4  # steeper tables show the rounding of their angles
NEAR_DEG = 0.1  # end angles that are nearer to the named ones may count as these


def usable(data: bytes) -> None:
    """Reads, or refuses with an error of ours; whatever was read can be measured, written and read again.

    Parameters
    ----------
    data : any bytes.
    """
    file = _read(lambda: read_photometric(data, "fuzz", neighbour=lambda _: TILT_FILE))
    if file is not None:
        _check(file)
        if file.distribution.candela.size <= MOST_COMPARED:
            _check_writing(file)
    for read in (read_lm63, read_eulumdat, read_tm33, read_hv_table):
        other = _read(lambda read=read: read(data, "fuzz"))
        if other is not None:
            _check(other)
    _read(lambda: read_photometric(data, "fuzz", part=2))
    _read(lambda: read_lm63(NAMES_A_TILT_FILE, "fuzz", neighbour=lambda _: data))
    _read(lambda: chromaticity_of(read_spectrum(data, "fuzz")))


def _read(reading):
    """What it gives, None when it is refused: in one sentence on one line."""
    try:
        return reading()
    except InputError as error:
        assert "\n" not in str(error)
        return None


def _check(file: PhotometricFile) -> None:
    light = file.distribution
    assert np.isfinite(flux_lm(light))
    assert np.isfinite(peak(light).candela)
    assert np.isfinite(file.input_watts)
    assert np.isfinite(file.opening.size_m).all()
    assert all("\n" not in str(one) for one in file.warnings)


def _check_writing(file: PhotometricFile) -> None:
    """Every format takes the file or says why not; what it wrote is read again, and is the same."""
    for target in TARGETS:
        if target == "EULUMDAT" and file.distribution.photometric_type == "B":
            continue  # resampling takes long and is no reader
        converted = _read(lambda target=target: convert(file, target))
        if converted is None:
            assert target == "H-V table" or file.distribution.candela.size > 1000, "no format may refuse a small file"
            continue
        again = read_photometric(converted.data, "written")  # an error here is a fault: what we write we read
        if converted.photometric_type == file.distribution.photometric_type:
            _compare(file, again)


def _compare(file: PhotometricFile, again: PhotometricFile) -> None:
    """Equal intensities at every angle that the file has, and equal flux over the same range."""
    before, after = file.distribution, again.distribution
    h, v = before.horizontal_deg, before.vertical_deg
    ends = (0.0, 90.0, 180.0) if before.photometric_type == "C" else (-90.0, 90.0)
    last = (v[0], v[-1]) if before.photometric_type == "C" else (v[0], v[-1], h[0], h[-1])
    from_end = [min(abs(angle - end) for end in ends) for angle in last]
    if min(np.diff(h).min(), np.diff(v).min()) < LEAST_STEP_DEG or any(0.0 < one < NEAR_DEG for one in from_end):
        return
    highest = float(before.candela.max())
    found = after.candela_at(h[:-1, None] if before.photometric_type == "C" else h[:, None], v)
    wanted = before.candela[:-1] if before.photometric_type == "C" else before.candela
    least = 1e-8 + 1e-12 * (again.rated_flux_lm or 0.0)  # what is written as 0, per 1000 lm in EULUMDAT
    assert np.abs(found - wanted).max() <= 1e-5 * highest + least, f"intensities changed, {again.format}"
    ranges = [(one.horizontal_deg[0], one.horizontal_deg[-1], one.vertical_deg[0], one.vertical_deg[-1])
            for one in (before, after)]  # fmt: skip
    if ranges[0] == ranges[1]:  # dark rims are added and left out
        assert abs(flux_lm(after) - flux_lm(before)) <= 1e-4 * flux_lm(before) + 10.0 * least, (
            f"flux changed, {again.format}"
        )
