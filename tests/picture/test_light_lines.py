"""Light lines: a mirrored seat gives a mirrored picture, and a ripple shows."""

import io
from dataclasses import replace

import numpy as np
from PIL import Image

from seatmesh.picture.light_lines import _bands, light_lines


def drawn(seat):
    stream = io.BytesIO()
    light_lines(seat, stream)
    return stream.getvalue()


def test_it_is_a_picture_and_the_same_each_time(carved_seat):
    data = drawn(carved_seat)
    assert data == drawn(carved_seat)
    assert Image.open(io.BytesIO(data)).size[0] > 1000


def test_lines_mirror_each_other_on_an_even_seat(carved_seat):
    _, _, bands = _bands(carved_seat)
    for band in bands:
        assert np.abs(band - band[:, ::-1]).max() < 1e-6


def test_flat_wood_shows_no_line_and_a_ripple_many(carved_seat):
    deck = _bands(carved_seat)[2][1][:40]
    assert np.all(deck > 0.99)
    spline = carved_seat.hollow
    ripple = spline.coefficients + 0.4 * np.cos(np.arange(spline.coefficients.shape[1]) * np.pi / 3)
    rippled = replace(carved_seat, hollow=replace(spline, coefficients=ripple))

    def edges(seat):
        column = _bands(seat)[2][1][:, 200] > 0
        return np.count_nonzero(np.diff(column))

    assert edges(rippled) > edges(carved_seat) + 4
