"""Inputs that once broke a reader, kept by the fuzzer's own check; and a short fuzz of every format in each run."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from seeds import valid_files
from usable import usable

CRASHES = sorted((Path(__file__).parent / "crashes").glob("*"))
SEEDS = valid_files()


@pytest.mark.parametrize("path", CRASHES, ids=lambda path: path.name)
def test_what_once_broke_a_reader(path: Path) -> None:
    usable(path.read_bytes())


@pytest.mark.parametrize("data", SEEDS, ids=range(len(SEEDS)))
def test_the_seeds_are_usable(data: bytes) -> None:
    usable(data)


@settings(max_examples=250)
@given(st.sampled_from(SEEDS), st.data())
def test_mutated_files_of_every_format(seed: bytes, data: st.DataObject) -> None:
    """Pieces cut out, doubled, put in from another file, or overwritten by any bytes."""
    body = bytearray(seed)
    for _ in range(data.draw(st.integers(1, 3))):
        start = data.draw(st.integers(0, len(body)))
        end = min(len(body), start + data.draw(st.integers(0, 60)))
        other = data.draw(st.sampled_from(SEEDS))
        at = data.draw(st.integers(0, len(other)))
        body[start:end] = data.draw(
            st.sampled_from([b"", bytes(body[start:end]) * 2, other[at : at + 40]])
        ) + data.draw(st.binary(max_size=3))
    usable(bytes(body))
