"""Damaged EULUMDAT files are refused in one sentence or read with warnings; nothing else ever comes out."""

from __future__ import annotations

import numpy as np
from eulumdat_by_line import ONE_SET, eulumdat
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.errors import InputError
from scenelux.photometry.eulumdat.look import looks_like_eulumdat
from scenelux.photometry.eulumdat.read import read_eulumdat
from scenelux.photometry.eulumdat.write import write_eulumdat

CIRCLE = (0, 20, 90, 160, 180, 220, 270, 320)
SEEDS = (
    eulumdat(),
    eulumdat(0, CIRCLE, (0, 45, 90), [[9, 5, 1]] * 8, lorl="50", conversion="0.9"),
    eulumdat(3, CIRCLE, (0, 45, 180), [[9, 5, 1]] * 5, sets=(ONE_SET, ONE_SET), end="\n"),
    eulumdat(4, CIRCLE[:4], ("0", "22,5", "90"), [["9,5", "5", "1"]] * 2, end="\r"),
)
PIECES = st.sampled_from(
    [b"", b"\r\n", b"\n", b"\r", b" ", b"\t", b",", b".", b"-", b"+", b"e", b"1e400", b"nan", b"inf", b"0x1", b"_",
     b"0", b"4", b"-1", b"4000000", b"99999999999999999999", b"\0", b"\x1a", b"\xff\xfe", b"\xef\xbb\xbf", b"\xe9",
     b"|", b"TILT=NONE", b"1\r\n" * 60]
)  # fmt: skip


def survives(data: bytes) -> None:
    looks_like_eulumdat(data)
    try:
        file = read_eulumdat(data, "mutated.ldt")
    except InputError as error:
        assert str(error).endswith(".") and "\n" not in str(error)
        return
    assert np.isfinite(file.distribution.candela).all()
    again = read_eulumdat(write_eulumdat(file)[0])
    assert again.distribution.photometric_type == "C"


@given(st.sampled_from(SEEDS), st.lists(st.tuples(st.floats(0, 1), st.integers(0, 12), PIECES), min_size=1, max_size=4))
@settings(max_examples=300)
def test_pieces_put_in_and_taken_out(data: bytes, edits: list[tuple[float, int, bytes]]) -> None:
    for place, cut, piece in edits:
        at = int(place * len(data))
        data = data[:at] + piece + data[at + cut :]
    survives(data)


@given(st.sampled_from(SEEDS), st.lists(st.tuples(st.integers(0, 60), PIECES), min_size=1, max_size=3))
@settings(max_examples=300)
def test_lines_exchanged(data: bytes, edits: list[tuple[int, bytes]]) -> None:
    lines = data.splitlines()
    for at, piece in edits:
        lines[at % len(lines)] = piece
    survives(b"\n".join(lines))


@given(st.binary(max_size=300))
@settings(max_examples=100)
def test_any_bytes(data: bytes) -> None:
    survives(data)
