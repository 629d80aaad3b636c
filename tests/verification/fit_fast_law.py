"""Fit the laws on the reference and hold them to what was left out: ``python tests/verification/fit_fast_law.py``.

Whole levels are held out of the fit: tissue of 25 and 40 mm, bones of 15 mm, and hollows of 250 mm.
"""

from __future__ import annotations

import json
import logging
from collections.abc import Mapping

import numpy as np
from fast_batch import Batch, Pressure, batch, misfit
from fast_law import VARIANTS, Variant
from numpy.typing import NDArray
from reference_case import TISSUES, Row
from reference_table import FOLDER, SIT_BONE, THIGH, read_rows
from scipy.optimize import minimize
from tissue_left import fit_left, left_misfit

Floats = NDArray[np.float64]

LOG = logging.getLogger("fit_fast_law")
LAWS = FOLDER / "fast_laws.json"
WITHIN = np.array([0.15, 0.10, 0.05])
"""What is asked of peak, area and share."""
LEAST_LEFT = 0.2
"""Cases with less of the tissue left are out of reach of seats that anybody sits on (B6: 0.35 to 0.65)."""
WEIGHTS = {"flat": 1.0, "hollow": 0.5, "thigh": 0.5}


def is_in_reach(row: Row) -> bool:
    """Tell whether enough tissue is left, under a free top (the held top is there to show what it changes)."""
    return row["tissue_left_mm"] >= LEAST_LEFT * row["thickness_mm"] and row["top_held"] == 0.0


def is_held_out(row: Row) -> bool:
    """Tell whether a row is kept from the fit."""
    return row["thickness_mm"] in (25.0, 40.0) or row["bone_radius_mm"] == 15.0


def split(alpha: float) -> dict[str, Batch]:
    """Return the batches of one tissue: "flat", "hollow" and "thigh" to fit, "held out" and "held-out hollow"."""
    rows = [row for row in read_rows(SIT_BONE) if row["alpha"] == alpha and is_in_reach(row)]
    flat, hollow = ([row for row in rows if (row["dish_mm"] > 0.0) == deep] for deep in (False, True))
    return {
        "flat": batch([row for row in flat if not is_held_out(row)], "sit bone"),
        "hollow": batch([row for row in hollow if not is_held_out(row)], "sit bone"),
        "thigh": batch([row for row in read_rows(THIGH) if row["alpha"] == alpha], "thigh"),
        "held out": batch([row for row in flat if is_held_out(row)], "sit bone"),
        "held-out hollow": batch([row for row in hollow if is_held_out(row)], "sit bone"),
    }


def fit(variant: Variant, batches: dict[str, Batch]) -> list[float]:
    """Return the parameters of least squared misfit over `WITHIN`, by `WEIGHTS`; the thigh by peak and width."""

    def cost(q: Floats) -> float:
        law = variant.make([float(v) for v in q])
        columns = {name: 2 if name == "thigh" else 3 for name in WEIGHTS}
        with np.errstate(over="ignore", divide="ignore", invalid="ignore"):
            error = {name: misfit(batches[name], law)[:, :k] / WITHIN[:k] for name, k in columns.items()}
        return float(sum(weight * (error[name] ** 2).mean() for name, weight in WEIGHTS.items()))

    start = np.array(variant.start)
    simplex = np.vstack([start, start + 0.4 * np.eye(len(start))])
    found = minimize(
        cost,
        start,
        method="Nelder-Mead",
        options={"maxfev": 400, "xatol": 1e-3, "fatol": 1e-5, "initial_simplex": simplex},
    )
    return [float(v) for v in found.x]


def summary(error: Floats) -> dict[str, list[float]]:
    """Return root mean square, least and greatest of the misfit, and the share of cases within what is asked."""
    figures = {
        "rms": np.sqrt((error**2).mean(axis=0)),
        "least": error.min(axis=0),
        "greatest": error.max(axis=0),
        "share_within": (np.abs(error) <= WITHIN).mean(axis=0),
    }
    return {name: [round(float(v), 4) for v in values] for name, values in figures.items()}


def evaluate(law: Pressure, batches: dict[str, Batch]) -> dict[str, dict[str, list[float]]]:
    """Return the summary of each batch."""
    return {name: summary(misfit(cases, law)) for name, cases in batches.items()}


def evaluate_left(alpha: float) -> dict[str, list[float]]:
    """Return a and b of `tissue_left`, and the summary of its misfit on held-out rows, flat and hollow."""
    rows = [row for row in read_rows(SIT_BONE) if row["alpha"] == alpha and is_in_reach(row)]
    a, b = fit_left([row for row in rows if not is_held_out(row)])
    error = left_misfit([row for row in rows if is_held_out(row)], a, b)
    figures = [float(np.sqrt((error**2).mean())), float(error.min()), float(error.max())]
    return {"parameters": [a, b], "held out": [round(value, 4) for value in figures]}


def main() -> None:
    """Fit every variant to each tissue, write `fast_laws.json`, and say how each does on held-out cases."""
    LOG.addHandler(logging.StreamHandler())
    LOG.setLevel(logging.INFO)
    found: dict[str, Mapping[str, object]] = {}
    for tissue in TISSUES:
        alpha = tissue.alpha
        batches = split(alpha)
        for variant in VARIANTS:
            q = fit(variant, batches)
            report = evaluate(variant.make(q), batches)
            found[f"alpha {alpha:g}, {variant.name}"] = {"parameters": q, **report}
            LOG.info("alpha %g  %-26s q %s", alpha, variant.name, np.round(q, 3))
            for name, figures in report.items():
                LOG.info("    %-15s %s", name, figures)
        found[f"alpha {alpha:g}, tissue left"] = evaluate_left(alpha)
        LOG.info("alpha %g  tissue left: %s", alpha, found[f"alpha {alpha:g}, tissue left"])
    LAWS.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
