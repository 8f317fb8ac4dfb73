"""Luminance as a high dynamic range picture: three mantissas and one exponent a pixel, run by run along each row.

The common form of the Radiance picture file. All three colours carry the luminance in cd/m2 itself; a comment in the
file says so. Values keep within one part in 250; what is below 1e-32 is black.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from scenelux.errors import UsageError
from scenelux.names import slug
from scenelux.study.results import ViewResult

__all__ = ["files_of_view", "hdr_file"]

Pixels = NDArray[np.uint8]

LEAST = 1e-32
BIAS = 128
NARROWEST, WIDEST = 8, 32767
"""Widths of pictures whose rows may be packed."""

LONGEST_RUN = 127
LONGEST_COPY = 128
SHORTEST_RUN = 4


def files_of_view(result: ViewResult) -> Iterator[tuple[str, bytes]]:
    """Files of every picture of a view with their names.

    Parameters
    ----------
    result : the pictures.
    """
    for case in result.cases:
        for frame in case.frames:
            name = slug("luminance", case.variant, case.light, frame.name)
            about = f"{case.variant}, {case.light}, {frame.name}, {frame.field_deg:g} deg across"
            yield f"{name}.hdr", hdr_file(frame.luminance_cd_m2, f"luminance before the eye; {about}")
            yield f"{name}-veil.hdr", hdr_file(frame.seen_cd_m2, f"luminance and the veil in the eye; {about}")


def hdr_file(luminance_cd_m2: NDArray[np.floating], comment: str) -> bytes:
    """A picture file of luminance.

    Parameters
    ----------
    luminance_cd_m2 : (h, w), zero or more [cd/m2].
    comment : one line about it.
    """
    light = np.asarray(luminance_cd_m2, np.float64)
    if light.ndim != 2 or not (np.isfinite(light).all() and (light >= 0.0).all()):
        raise UsageError("is no picture of luminances from 0 up", key="luminance_cd_m2")
    height, width = light.shape
    words = " ".join(comment.encode("ascii", "replace").decode("ascii").split())
    head = f"#?RADIANCE\n# values are cd/m2 in all three colours; {words}\nFORMAT=32-bit_rle_rgbe\n\n"
    pixels = _encoded(light)
    packed = NARROWEST <= width <= WIDEST
    body = b"".join(map(_row, pixels)) if packed else pixels[..., [0, 0, 0, 1]].tobytes()
    return f"{head}-Y {height} +X {width}\n".encode("ascii") + body


def _encoded(light: NDArray[np.float64]) -> Pixels:
    """Mantissa and exponent, (h, w, 2); the mantissa is rounded to the middle of its step when read."""
    mantissa, exponent = np.frexp(np.where(light < LEAST, 0.0, light))
    lit = mantissa > 0.0
    found = np.zeros((*light.shape, 2), np.uint8)
    found[..., 0] = np.where(lit, np.minimum(mantissa * 256.0, 255.0), 0.0).astype(np.uint8)
    found[..., 1] = np.where(lit, np.clip(exponent + BIAS, 0, 255), 0).astype(np.uint8)
    return found


def _row(pixels: Pixels) -> bytes:
    """One row: its mark, then each component by itself in runs and copies; the three colours are alike."""
    width = len(pixels)
    colour, exponent = bytearray(), bytearray()
    _pack(pixels[:, 0], colour)
    _pack(pixels[:, 1], exponent)
    return bytes((2, 2, width >> 8, width & 255)) + bytes(colour) * 3 + bytes(exponent)


def _pack(values: Pixels, out: bytearray) -> None:
    edges = np.flatnonzero(np.diff(values)) + 1
    starts = np.concatenate(([0], edges)).tolist()
    ends = np.concatenate((edges, [len(values)])).tolist()
    data, copied = values.tobytes(), 0
    for start, end in zip(starts, ends, strict=True):
        if end - start >= SHORTEST_RUN:
            _copy(data[copied:start], out)
            for at in range(start, end, LONGEST_RUN):
                out += bytes((128 + min(LONGEST_RUN, end - at), data[start]))
            copied = end
    _copy(data[copied:], out)


def _copy(data: bytes, out: bytearray) -> None:
    for at in range(0, len(data), LONGEST_COPY):
        part = data[at : at + LONGEST_COPY]
        out.append(len(part))
        out += part
