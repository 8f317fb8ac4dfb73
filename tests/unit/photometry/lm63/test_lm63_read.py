"""The reader on whole files: what it keeps, and bytes of any kind."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from scenelux.errors import InputError
from scenelux.photometry import IntensityDistribution, flux_lm, peak, read_lm63, write_lm63
from scenelux.photometry.lm63.convert import write_lm63_file
from scenelux.photometry.lm63.text import looks_like_lm63

Write = Callable[..., bytes]


def test_everything_of_the_file_is_kept(lm63: Write) -> None:
    file = read_lm63(lm63(lamps="2", lumens="300", multiplier="1.5", second="0.9 1 24", sizes="-0.08 -0.08 0"))
    assert file.lamps == 2 and file.factors == (("multiplier", 1.5), ("ballast factor", 0.9))
    assert (file.input_watts, file.tilt, file.title) == (24, None, "LM-63-2002")
    assert file.rated_flux_lm == 600 and not file.absolute
    assert (file.opening.shape, file.opening.size_m) == ("ellipse", (0.08, 0.08, 0))
    assert file.symmetry == "rotational"


def test_field_12_of_2019_is_a_mark_and_no_factor(lm63: Write) -> None:
    file = read_lm63(lm63(first="IES:LM-63-2019", second="1 1.11100 5"))
    assert file.distribution.candela.max() == 100 and file.warnings == ()


def usable(file_bytes: bytes) -> None:
    """Reads, or refuses with an error of ours; whatever was read can be used."""
    try:
        file = read_lm63(file_bytes, "fuzz.ies")
    except InputError as error:
        assert "\n" not in str(error)
        return
    assert isinstance(file.distribution, IntensityDistribution)
    assert np.isfinite(flux_lm(file.distribution)) and np.isfinite(peak(file.distribution).candela)
    assert all(size >= 0 for size in file.opening.size_m)
    read_lm63(write_lm63(file.distribution, file.keywords, opening=file.opening))
    assert all(one.line is None or one.line >= 1 for one in file.warnings)
    for edition in ("2002", "2019"):
        written = write_lm63_file(file, edition)
        assert write_lm63_file(read_lm63(written), edition) == written


@settings(max_examples=150, deadline=None)
@given(st.binary(max_size=400))
def test_any_bytes(data: bytes) -> None:
    usable(data)
    usable(b"IESNA:LM-63-2002\nTILT=NONE\n" + data)


TOKENS = st.sampled_from(
    [
        b"0",
        b"1",
        b"2",
        b"3",
        b"-1",
        b"45",
        b"90",
        b"180",
        b"270",
        b"360",
        b"-90",
        b"1e5",
        b"1e308",
        b"1e-320",
        b"nan",
        b",",
        b"1,5",
        b".5.5",
        b"\0",
        b"\x1a",
        b"END",
        b"[BLOCK]",
        b"\n",
        b"\r",
        b"TILT=NONE",
        b"\xff",
        b"0.05",
        b"89.96",
        b"1e12",
        b"-3",
        b"1e-9",
        b"TILT=INCLUDE",
        b"TILT=x",
        b"[MORE]",
        b"[TEST]",
        b"IESNA:LM-63-2002",
    ]
)


@settings(max_examples=300, deadline=None)
@given(st.data())
def test_mutated_files(data: st.DataObject) -> None:
    base = data.draw(st.sampled_from(BASES)).split(b" ")
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(base) - 1))
        kind = data.draw(st.sampled_from(["swap", "drop", "insert"]))
        token = data.draw(TOKENS)
        base[at : at + 1] = {"swap": [token], "drop": [], "insert": [base[at], token]}[kind] or [b""]
    usable(b" ".join(base))


BASES = [
    b"IESNA:LM-63-1995 \n [TEST] x \n TILT=NONE \n 1 -1 1 3 3 1 2 0 0 0 \n 1 1 9 \n"
    b" 0 45 90 \n 0 90 180 \n 9 5 0 \n 9 6 0 \n 9 7 0",
    b"IESNA91 \n [TEST] x \n TILT=NONE \n 1 900 1 2 5 1 1 -1 0 0 \n 1 1 9 \n"
    b" 0 180 \n 0 90 180 270 360 \n 9 5 9 5 9 5 9 5 9 5",
    b"IESNA:LM-63-2002 \n TILT=NONE \n 1 -1 1 3 3 2 2 -1 -1 0 \n 1 1 9 \n"
    b" -90 0 90 \n 0 30 90 \n 1 2 3 \n 4 5 6 \n 7 8 9",
    b"IES:LM-63-2019 \n [DATE] long ago \n TILT=INCLUDE \n 1 \n 3 \n 0 45 90 \n 1 .9 .8 \n"
    b" 2 900 1 3 2 1 1 -1 -1 0 \n 1 1.00010 9 \n 0 45 90 \n 0 90 \n 9 5 0 \n 9 6 0",
    b"IESNA:LM-63-1995 \n TILT=NONE \n 1 -1 1 2 3 1 2 0 1 -1 \n 1 1 9 \n 0 90 \n 90 170 270 \n 1 2 \n 4 5 \n 7 8",
]


def test_a_file_is_known_by_its_beginning(lm63: Write) -> None:
    assert looks_like_lm63(lm63()) and looks_like_lm63(lm63(first="free text of 1986"))
    assert looks_like_lm63(lm63(first="iesna: lm-63 2002", tilt="tilt = none"))
    assert looks_like_lm63(b"IESNA:LM-63-2002\n" + b"[OTHER] x\n" * 20_000 + b"TILT=NONE\n")
    for other in (
        b"",
        b"<IESTM33-22>\n TILT=NONE",
        b"Maker\n1\n1\n24\n15\n",
        b"H,V\n[OTHER] TILT=NONE\n",
        b"x" * 32_000_000,
    ):
        assert looks_like_lm63(other) is (b"\n TILT=NONE" in other)
