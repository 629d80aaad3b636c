"""Freedom to shift: the worst of all postures, and what it costs; by figures that are known."""

from types import SimpleNamespace

import numpy as np
import pytest

from seatmesh.body.body_file import bodies_folder, read_body
from seatmesh.body.figure.posture import POSTURES, Posture
from seatmesh.body.figure.seated import seat_body
from seatmesh.chair import Chair
from seatmesh.seating.freedom import Freedom, freedom_report
from seatmesh.seating.load import seat_load
from seatmesh.seating.sitting_figures import Figures

BODY = read_body(bodies_folder() / "violin-2.toml")


def sitting(posture, peak, converged=True):
    figures = Figures.known("made", peak_kpa=peak)
    verdict = "converged" if converged else "no balance"
    return SimpleNamespace(posture=posture, figures=figures, converged=converged, verdict=verdict)


def test_the_cost_is_how_much_harder_the_worst_posture_presses():
    """S13: a tenth more is felt."""
    for worst, felt in ((10.98, False), (11.02, True)):
        freedom = Freedom((sitting("upright", 10.0), sitting("slouched", worst), sitting("legs apart", 9.0)))
        assert freedom.cost == pytest.approx(worst / 10.0 - 1.0)
        said = freedom_report(freedom)["freedom_to_shift"]
        assert (said["worst_posture"], said["felt"]) == ("slouched", felt)
    none = Freedom((sitting("upright", 10.0), sitting("slouched", 5.0, converged=False)))
    assert none.cost is None
    assert freedom_report(none)["freedom_to_shift"] == {
        "worst_posture": "slouched",
        "cost": None,
        "felt": True,
    }


@pytest.mark.parametrize(("name", "lean_mm"), [("slouched", -15.0), ("leaning forward", 60.0)])
def test_leaning_moves_the_load_by_the_trunks_share_of_it(name, lean_mm):
    """Head, arms and trunk are 0.678 of the body (L1), the feet carry legs and feet, 0.122: the seat has 0.878."""
    posture = POSTURES[name]
    held = Posture(pelvis_tilt_deg=posture.pelvis_tilt_deg)
    seated = seat_body(BODY, posture)
    level = Chair(front_height_mm=seated.anatomy.popliteal_height + 25.0, rake_deg=0.0)
    moved = seat_load(seated, posture, level).y_mm - seat_load(seated, held, level).y_mm
    assert moved == pytest.approx(lean_mm * 0.678 / 0.878, rel=1e-6)


def test_postures_turn_shift_and_splay_by_what_the_guide_of_the_model_says():
    """B10: from standing to sitting the pelvis rolls back by 18.3 degrees, and so it does again in slouching."""
    upright = seat_body(BODY, POSTURES["upright"])

    def turned(name):
        hip = seat_body(BODY, POSTURES[name]).hip
        return np.degrees(np.arctan2(upright.hip[1], upright.hip[2]) - np.arctan2(hip[1], hip[2]))

    assert turned("slouched") == pytest.approx(18.3, abs=0.5)
    assert turned("leaning forward") == pytest.approx(-8.0)

    def splay(name):
        one = seat_body(BODY, POSTURES[name])
        return np.degrees(np.arctan2(one.knee_x - one.anatomy.thigh_x, one.knee_back_y - one.hip[1]))

    for name, degrees in (("legs together", -6.0), ("legs apart", 10.0), ("right leg crossed", -2.0)):
        assert splay(name) - splay("upright") == pytest.approx(degrees)
    assert [POSTURES[f"shifted {side}"].shift_mm for side in ("left", "right")] == [-20.0, 20.0]
