"""Rendered pictures on their way from the process that renders to the sheet they are set on."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

Bytes = NDArray[np.uint8]
Marks = dict[str, tuple[float, float]]


def write_shots(shots: Sequence[tuple[Bytes, Marks]], path: Path) -> None:
    """Write pictures, shape (rows, columns, 3), and a word with its dot (column, row) for each mark, as NPZ."""
    fields: dict[str, Any] = {}
    for number, (image, marks) in enumerate(shots):
        fields |= {
            f"image_{number}": image,
            f"words_{number}": np.array(list(marks)),
            f"dots_{number}": np.array(list(marks.values()), dtype=float).reshape(-1, 2),
        }
    np.savez(path, **fields)


def read_shots(path: Path) -> list[tuple[Bytes, Marks]]:
    """Return pictures and marks as `write_shots` wrote them."""
    with np.load(path) as file:
        return [
            (
                file[f"image_{k}"],
                {
                    str(word): (float(x), float(y))
                    for word, (x, y) in zip(file[f"words_{k}"], file[f"dots_{k}"], strict=True)
                },
            )
            for k in range(len(file.files) // 3)
        ]
