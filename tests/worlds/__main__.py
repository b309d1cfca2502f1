"""``python -m tests.worlds SEED FRAMES FOLDER``: writes a world of invented frames, and the truth beside it."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from tests.worlds import World, write_world


def main(arguments: list[str] | None = None) -> int:
    """Write the world and say what was written; 1 when a dataset stands there already."""
    parser = argparse.ArgumentParser(prog="python -m tests.worlds", description=__doc__)
    parser.add_argument("seed", type=int, help="any whole number; the same one gives the same world")
    parser.add_argument("frames", type=int, help="how many frame records, 1 or more")
    parser.add_argument("folder", type=Path, help="where the dataset is written")
    args = parser.parse_args(arguments)
    if args.frames < 1:
        parser.error(f"frames: got {args.frames}; accepted: 1 or more")
    try:
        write_world(World(args.seed, args.frames), args.folder)
    except FileExistsError as there:
        print(f"python -m tests.worlds: {there}", file=sys.stderr)
        return 1
    print(f"{args.frames} invented frames in {args.folder}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
