"""The tables of the CIE in shared/colour are those of the general reference library, to the last printed digit.

`python tests/reference/test_colour_tables.py` writes them anew.
"""

from __future__ import annotations

import tomllib
from pathlib import Path

import colour
import numpy as np
import pytest
from numpy.typing import NDArray

FOLDER = Path(__file__).resolve().parents[2] / "shared" / "colour"
LIBRARY = "as quoted by the library colour-science 0.4.7"
OBSERVER = "CIE 1931 2 Degree Standard Observer"


def columns(table: str) -> dict[str, NDArray[np.float64]]:
    """Columns of a table as the library has them, with the CIE's own number of digits."""
    if table == "observer":
        values = colour.MSDS_CMFS[OBSERVER].values
        return {"x_bar": values[:, 0], "y_bar": values[:, 1], "z_bar": values[:, 2]}
    photopic = colour.colorimetry.SDS_LEFS_PHOTOPIC["CIE 1924 Photopic Standard Observer"].values
    scotopic = colour.colorimetry.SDS_LEFS_SCOTOPIC["CIE 1951 Scotopic Standard Observer"].values
    return {"photopic": photopic} if table == "photopic" else {"scotopic": scotopic}


TABLES = {
    "observer": ("CIE 1931 standard observer, colour-matching functions for 2 deg", 360,
                 "CIE 015:2018, ISO/CIE 11664-1:2019"),
    "photopic": ("Spectral luminous efficiency for day vision, V", 360, "CIE 018:2019, ISO/CIE 23539:2023"),
    "scotopic": ("Spectral luminous efficiency for night vision, V'", 380, "CIE 018:2019, ISO/CIE 23539:2023"),
}  # fmt: skip


def written(table: str) -> str:
    title, first_nm, source = TABLES[table]
    lines = [
        f"# {title}. Written by tests/reference/test_colour_tables.py.",
        'format = "scenelux table 1"',
        f'title = "{title}"',
        f'source = "{source}, {LIBRARY}"',
        'status = "quoted"',
        f"first_nm = {first_nm}",
        "step_nm = 1",
    ]
    for name, values in columns(table).items():
        rows = [
            ", ".join(f"{value:.10g}" for value in values[start : start + 10]) for start in range(0, len(values), 10)
        ]
        lines += [f"{name} = [", *(f"  {row}," for row in rows), "]"]
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize("table", TABLES)
def test_table_is_the_library_s(table: str) -> None:
    shipped = tomllib.loads((FOLDER / f"{table}.toml").read_text(encoding="utf-8"))
    assert shipped["step_nm"] == 1
    for name, values in columns(table).items():
        wavelengths = shipped["first_nm"] + np.arange(len(shipped[name]))
        assert (wavelengths[0], wavelengths[-1]) == ((380, 780) if table == "scotopic" else (360, 830))
        assert shipped[name] == pytest.approx(values, rel=1e-9, abs=1e-12)


if __name__ == "__main__":
    for name in TABLES:
        (FOLDER / f"{name}.toml").write_text(written(name), encoding="utf-8")
