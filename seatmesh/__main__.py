"""`python -m seatmesh` is the command `seatmesh`."""

from seatmesh.cli.entry import main

if __name__ == "__main__":
    raise SystemExit(main())
