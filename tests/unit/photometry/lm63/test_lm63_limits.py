"""The limits of the reader: 4 million values, 32 MB of anything, time and memory; and numbers exactly as written."""

from __future__ import annotations

import random
import time
import tracemalloc
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenelux.errors import InputError
from scenelux.names import LARGEST_PHOTOMETRIC_BYTES
from scenelux.photometry import read_lm63
from scenelux.photometry.faults import FaultLog
from scenelux.photometry.lm63.numbers import NumberStream

HEAD = b"IESNA:LM-63-1995\n[TEST] t\nTILT=NONE\n"
RECORDS = b"1 -1 1 2 1 1 2 0 0 0\n1 1 1\n0 90\n0\n"
FULL = LARGEST_PHOTOMETRIC_BYTES
MOST_BYTES = 200_000_000


def grid(count_v: int, count_h: int, last_h: int = 360, value: bytes = b"5", kind: int = 1) -> bytes:
    v = " ".join(f"{90 * i / (count_v - 1):.6f}" for i in range(count_v)).encode()
    h = " ".join(f"{last_h * i / (count_h - 1):.6f}" for i in range(count_h)).encode()
    row = (value + b" ") * (count_v - 1) + b"0\n"
    return HEAD + b"1 -1 1 %d %d %d 2 0 0 0\n1 1 1\n%b\n%b\n" % (count_v, count_h, kind, v, h) + row * count_h


def filled(part: bytes, size: int = FULL, before: bytes = b"", after: bytes = b"") -> bytes:
    room = size - len(before) - len(after)
    return before + (part * (room // len(part) + 1))[:room] + after


def traced(read: Callable[[], object]) -> int:
    """Most bytes that were taken at one time beside the file itself, with those of numpy."""
    tracemalloc.start()
    try:
        read()
        return tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()


def read_or_refuse(data: bytes) -> None:
    try:
        read_lm63(data, "any.ies")
    except InputError as error:
        assert len(str(error)) < 500


# Eight megabytes, all read: many short numbers, longer ones, exponents, decimal commas, many short rows.
EIGHT = {
    "4 million digits": lambda: grid(2000, 1990),
    "decimals": lambda: grid(1000, 1100, value=b"1234.5"),
    "exponents": lambda: grid(1000, 2000, value=b"1e1"),
    "decimal commas": lambda: grid(1000, 1990, value=b"5,5").replace(b".", b","),
    "100000 rows": lambda: grid(35, 100_000),
}


@pytest.mark.parametrize("name", EIGHT)
def test_eight_megabytes_take_less_than_a_second(name: str) -> None:
    """0.2 to 0.5 s where this was written; the best of five in time of the processor, since others may be at work."""
    data = EIGHT[name]()
    assert 7_000_000 < len(data) < 8_500_000
    seconds = []
    for _ in range(5):
        start = time.process_time()
        file = read_lm63(data)
        seconds.append(time.process_time() - start)
        if seconds[-1] < 0.9:
            break
    assert min(seconds) < 1.0
    assert file.distribution.candela.max() in (5, 5.5, 10, 1234.5)


@pytest.mark.parametrize(
    ("last_h", "kind", "shape"),
    [(360, 1, (2000, 2000)), (90, 2, (3999, 3999))],
    ids=["circle", "both mirrors of type B"],
)
def test_4_million_values_read_in_bounded_memory(last_h: int, kind: int, shape: tuple[int, int]) -> None:
    """At most 194 MB where this was written: B becomes 16 million values, and its file is copied for its mark."""
    data = grid(2000, 2000, last_h, kind=kind)
    if kind == 2:
        data = filled(b" ", before=b"\xef\xbb\xbf" + HEAD, after=data.removeprefix(HEAD))
    files = []
    assert traced(lambda: files.append(read_lm63(data))) < MOST_BYTES
    assert files[0].distribution.candela.shape == shape


WORST: dict[str, Callable[[], bytes]] = {
    "16 million numbers": lambda: filled(b"1 ", before=HEAD),
    "numbers left over": lambda: filled(b"1 ", before=grid(1000, 1000)),
    "commas": lambda: filled(b",", before=HEAD),
    "numbers and commas": lambda: filled(b"1,", before=HEAD),
    "decimal commas": lambda: filled(b"1,1 ", before=HEAD),
    "one number": lambda: filled(b"1", before=HEAD + RECORDS + b"5 "),
    "one word": lambda: filled(b"x", before=HEAD),
    "line ends": lambda: filled(b"\n", before=HEAD + RECORDS + b"5 ", after=b"0"),
    "zero bytes": lambda: filled(b"\0", before=HEAD + RECORDS + b"5 0 " * 100),
    "text of the head": lambda: filled(b"[OTHER] text\n"),
    "short lines": lambda: filled(b"a\n", 900_000, after=b"TILT=NONE\n" + RECORDS + b"5 0"),
    "brackets": lambda: filled(b"[", 900_000, after=b"\nTILT=NONE\n" + RECORDS + b"5 0"),
    "almost TILT": lambda: filled(b" TILT "),
    "lines of almost TILT": lambda: filled(b" TILT\n"),
    "blanks before TILT": lambda: filled(b" ", after=b"TILT=NONE\n"),
    "blanks in the identifier": lambda: filled(b" ", 900_000, b"IESNA", b"x\nTILT=NONE\n" + RECORDS + b"5 0"),
    "blanks in a figure": lambda: filled(b" ", 900_000, b"x\n[_LUMENS] 5", b"x\nTILT=NONE\n" + RECORDS + b"5 0"),
    "blanks in a unit": lambda: filled(b"W    /    ", 900_000, b"x\n[A] ", b"x\nTILT=NONE\n" + RECORDS + b"5 0"),
    "many stated lumens": lambda: b"".join(b"[_LUMENS%d] 7\n" % i for i in range(4_900)) + b"TILT=NONE\n"
    + RECORDS + b"5 0",
    "many accents": lambda: filled(b"[A] \xe9\n", 28_000, after=b"TILT=NONE\n" + RECORDS + b"5 0"),
    "UTF-16 of three bytes each": lambda: filled(b"\x2d\x4e", before=b"\xff\xfe"),
    "UTF-16 of pairs": lambda: b"\xff\xfe" + (HEAD.decode() + "\U0001f600" * 7_000_000).encode("utf-16-le"),
    "a tilt table": lambda: filled(b"1 ", before=HEAD.replace(b"NONE", b"INCLUDE") + b"1\n10000\n"),
}  # fmt: skip


@pytest.mark.parametrize("name", WORST)
def test_nothing_hangs_or_takes_the_memory(name: str) -> None:
    """At most 0.6 s and 97 MB on the machine where this was written."""
    data = WORST[name]()
    assert len(data) <= FULL
    start = time.process_time()
    assert traced(lambda: read_or_refuse(data)) < MOST_BYTES
    assert time.process_time() - start < 5.0


def test_counts_beyond_the_limit_cost_nothing() -> None:
    for counts in ("2000000000 2000000000", "2000 2000", "2001 2000", "100001 2", "2 100001"):
        data = HEAD + f"1 -1 1 {counts} 1 2 0 0 0\n1 1 1\n0 90\n0\n1 0\n".encode()
        assert traced(lambda data=data: read_or_refuse(data)) < 1_000_000


def test_too_large_a_file_is_refused_before_anything_is_read() -> None:
    data = bytes(FULL + 1)
    assert traced(lambda: read_or_refuse(data)) < 100_000
    with pytest.raises(InputError, match="32 MB"):
        read_lm63(data)


def numbers(text: str) -> list[float]:
    body = text.encode("ascii")
    stream = NumberStream(body, 0, FaultLog("", body))
    return stream.reals("number", stream.left).tolist()


def written(rng: random.Random) -> str:
    """A number in one of the forms that the grammar knows."""
    sign, whole = rng.choice(("", "", "", "-", "+")), str(rng.randrange(10 ** rng.randrange(1, 25)))
    part = "".join(rng.choice("0123456789") for _ in range(rng.randrange(1, 25)))
    form = rng.choice((whole, f"{whole}.", f"{whole}.{part}", f".{part}", "0" * rng.randrange(1, 9) + whole))
    return sign + form + rng.choice(("", "", "", "e5", "E-12", "d+3", "D7"))


def test_numbers_are_rounded_as_float_rounds_them() -> None:
    rng = random.Random(20)
    texts = [written(rng) for _ in range(100_000)]
    expected = np.array([float(text.replace("d", "e").replace("D", "e")) for text in texts])
    assert np.array_equal(numbers(" ".join(texts)), expected)


@given(st.lists(st.floats(allow_nan=False, allow_infinity=False), min_size=1))
def test_every_float_comes_back(values: list[float]) -> None:
    assert numbers("\n".join(map(repr, values))) == values
    assert numbers(",".join(np.format_float_positional(value) for value in values)) == values
