"""Every measurement of speed, in one sitting, as ratios of alternating runs.

    python tests/speed/run.py                                    # everything; some minutes
    python tests/speed/run.py --only standard,mesh --json out/ratios.json
    python tests/speed/run.py --quick --check tests/speed/ratios.json      # what CI does; under a minute

Absolute times belong to the machine and the moment; the ratios are what can be compared. With --check a
section with a ratio below its limit is measured once more; when it stays there, one sentence tells, and the exit status
is 3.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
os.environ["OPENBLAS_NUM_THREADS"] = "1"  # numpy reads it when it is imported; its peers work on one thread

from tests.speed import bench_engine, bench_growth, bench_image, bench_incremental, bench_mesh, bench_start, bench_view
from tests.speed.ratios import Ratios, better, missed, read_limits

SECTIONS = {
    "standard": bench_engine.standard,
    "hard": bench_engine.hard,
    "change": bench_incremental.change,
    "mesh": bench_mesh.mesh,
    "image": bench_image.image,
    "view": bench_view.view,
    "growth": bench_growth.growth,
    "start": bench_start.start,
}
MISSED = 3


def main() -> int:
    """The sections asked for, and what the check of their ratios says."""
    options = _options()
    limits = {} if options.check is None else read_limits(options.check)
    begun, ratios = time.monotonic(), Ratios()
    for section in options.only:
        print(f"== {section}", flush=True)
        ratios |= SECTIONS[section](options.quick)
        if sentences := missed(limits, ratios, [section], options.quick):
            print(*sentences, "Measured once more; the better counts.", sep="\n", flush=True)
            ratios |= better(ratios, SECTIONS[section](options.quick))
    print(f"== ratios, the larger the better; all measured in {time.monotonic() - begun:.0f} s")
    for name, ratio in ratios.items():
        print(f"{'none' if ratio is None else format(ratio, '.3g'):>8}  {name}")
    if options.json is not None:
        options.json.parent.mkdir(parents=True, exist_ok=True)
        options.json.write_text(json.dumps(ratios, indent=2) + "\n", encoding="utf-8")
    sentences = missed(limits, ratios, options.only, options.quick)
    print(*sentences, sep="\n", end="\n" if sentences else "")
    return MISSED if sentences else 0


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--quick", action="store_true", help="fewer runs and smaller sizes")
    parser.add_argument("--only", type=_sections, default=list(SECTIONS), help=f"some of {','.join(SECTIONS)}")
    parser.add_argument("--json", type=Path, help="file for the ratios measured")
    parser.add_argument("--check", type=Path, help="file of limits to check the ratios against")
    return parser.parse_args()


def _sections(text: str) -> list[str]:
    names = text.split(",")
    if unknown := [name for name in names if name not in SECTIONS]:
        raise argparse.ArgumentTypeError(f"{unknown[0]} is not one of {', '.join(SECTIONS)}")
    return names


if __name__ == "__main__":
    sys.exit(main())
