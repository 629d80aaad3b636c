"""Pictures of the wood: what they show is where geometry says, the same bytes each time, nothing beyond the outline."""

import io

import numpy as np
import pytest
from PIL import Image

from seatmesh.errors import NotAmongError
from seatmesh.picture.wood.cut_picture import cut_picture
from seatmesh.picture.wood.figure import face_rgb, figure_picture, shade
from seatmesh.picture.wood.figure_variants import figure_variants
from seatmesh.picture.wood.movement_picture import movement_picture
from seatmesh.picture.wood.wood_colour import LOOKS, wood_rgb
from seatmesh.surface import flat_seat
from seatmesh.wood.blank import Blank
from seatmesh.wood.boards.board import Board, pith_at
from seatmesh.wood.boards.layup import Layup
from seatmesh.wood.boards.layup_text import layup_from_text, layup_text
from seatmesh.wood.boards.wood_wishes import WoodWishes
from seatmesh.wood.species import species_named
from seatmesh.wood.species_rows import ROWS
from seatmesh.woodwork.seat_movement import seat_movement
from seatmesh.woodwork.variants import variants

OAK, CHERRY = species_named("white oak"), species_named("cherry")
PAIR = Layup((Board(240.0, CHERRY, 20.0, 90.0), Board(240.0, CHERRY, -30.0, 100.0, number=2)), 430.0, 45.0)


def drawn(draw):
    out = io.BytesIO()
    draw(out)
    return out.getvalue()


def test_every_wood_has_its_look():
    assert set(LOOKS) == set(ROWS)


@pytest.mark.parametrize("kind", ["figure", "cut"])
def test_pictures_are_drawn_alike_each_time(carved_seat, kind):
    draw = {"figure": figure_picture, "cut": cut_picture}[kind]
    one, other = (drawn(lambda out: draw(carved_seat, PAIR, out)) for _ in range(2))
    assert one == other
    width, height = Image.open(io.BytesIO(one)).size
    assert width == 1240
    assert 1200 < height < 1800


def test_units_that_no_picture_speaks_are_refused(carved_seat):
    for draw in (figure_picture, cut_picture):
        with pytest.raises(NotAmongError):
            draw(carved_seat, PAIR, io.BytesIO(), units="ells")


def test_variants_and_movement_are_drawn(carved_seat):
    some = variants(carved_seat, PAIR)
    assert drawn(lambda out: figure_variants(carved_seat, some, out)).startswith(b"\x89PNG")
    rooms = seat_movement(carved_seat.blank, PAIR, WoodWishes())
    assert drawn(lambda out: movement_picture(carved_seat, PAIR, rooms, out)).startswith(b"\x89PNG")


def test_dark_late_wood_lies_where_a_year_ends():
    """On flat wood over the pith a line of late wood lies at x = sqrt(R^2 - h^2) for every year R."""
    board = Board(480.0, CHERRY, wander_mm=0.0, taper_mm_per_m=0.0, ring_width_mm=8.0)
    layup = Layup((board,), 430.0, 45.0)
    x = np.linspace(0.0, 200.0, 2001)
    points = np.column_stack([x, np.full_like(x, 215.0), np.zeros_like(x)])
    light = wood_rgb(layup, points).sum(axis=1)
    from seatmesh.wood.boards.rings import layup_grain

    years = layup_grain(layup, points).years
    late = np.mod(years, 1.0)
    assert light[(late > 0.8) & (late < 0.9)].mean() < light[(late > 0.1) & (late < 0.3)].mean() - 0.15


def test_rays_show_on_quarter_sawn_oak_and_not_on_flat_sawn_oak_or_on_cherry():
    """Common practice: flecks of oak's broad rays on the quarter-sawn face."""
    x, y = np.meshgrid(np.linspace(-100, 100, 300), np.linspace(10, 420, 300))
    points = np.stack([x, y, np.zeros_like(x)], axis=-1)

    def bright(wood, angle):
        layup = Layup((Board(240.0, wood, *pith_at(angle, 900.0)),), 430.0, 45.0)
        light = wood_rgb(layup, points).sum(axis=-1)
        return float(np.mean(light > LOOKS[wood.name].early[0] + sum(LOOKS[wood.name].early[1:]) + 0.05))

    assert bright(OAK, 90.0) > 0.02
    assert bright(OAK, 0.0) < 0.005
    assert bright(CHERRY, 90.0) < 0.005


def test_the_face_ends_at_the_outline_and_slopes_are_shaded(carved_seat):
    image, extent = face_rgb(carved_seat, PAIR, 4.0)
    assert extent == (-240.0, 240.0, 0.0, 430.0)
    assert image[0, 0, 3] == 0.0  # a rounded corner
    assert image[50, 60, 3] == 1.0
    level = np.array([0.0, 0.0, 1.0])
    toward = np.array([-0.3, 0.2, 0.93])
    assert shade(level) == pytest.approx(1.0)
    assert shade(toward / np.linalg.norm(toward)) > 1.0


def test_a_glue_line_shows_between_its_boards():
    layup = Layup((Board(240.0, CHERRY), Board(240.0, CHERRY)), 430.0, 45.0)
    across = np.linspace(-3.0, 3.0, 61)
    rows = np.stack([np.column_stack([across, np.full(61, y), np.zeros(61)]) for y in range(20, 400, 10)])
    light = wood_rgb(layup, rows).sum(axis=-1).mean(axis=0)
    assert light[np.abs(across) < 0.3].mean() < 0.85 * light[np.abs(across) > 1.0].mean()


def test_a_layup_is_told_and_read_back():
    layup = Layup(
        (Board(240.0, OAK, signs=(-1, 1, -1), assumed=("bark",)), Board(240.0, CHERRY)), 430.0, 45.0, False
    )
    assert layup_from_text(layup_text(layup)) == layup


def test_a_flat_seat_has_a_figure_too():
    seat = flat_seat(Blank())
    assert drawn(lambda out: figure_picture(seat, PAIR, out, units="in")).startswith(b"\x89PNG")
