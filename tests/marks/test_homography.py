import numpy as np

from seatmesh.marks.homography import Mapping2D, applied, direct_homography, fitted_mapping

TRAPEZIUM = np.array([[420.0, 2610.0], [3480.0, 2700.0], [3105.0, 380.0], [760.0, 340.0]])
BLANK = np.array([[-240.0, 0.0], [240.0, 0.0], [240.0, 430.0], [-240.0, 430.0]])
POINTS = np.array([[10.0, 20.0], [-200.0, 410.0], [57.0, 151.0], [-120.0, 260.0], [33.0, 300.0]])


def from_unit_square(corners: np.ndarray) -> np.ndarray:
    """Return the homography from the unit square in closed form (Heckbert 1989, Berkeley, from memory)."""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    dx1, dx2, dx3 = x1 - x2, x3 - x2, x0 - x1 + x2 - x3
    dy1, dy2, dy3 = y1 - y2, y3 - y2, y0 - y1 + y2 - y3
    below = dx1 * dy2 - dx2 * dy1
    g, h = (dx3 * dy2 - dx2 * dy3) / below, (dx1 * dy3 - dx3 * dy1) / below
    return np.array(
        [[x1 - x0 + g * x1, x3 - x0 + h * x3, x0], [y1 - y0 + g * y1, y3 - y0 + h * y3, y0], [g, h, 1.0]]
    )


def test_four_points_agree_with_the_closed_form() -> None:
    closed = from_unit_square(BLANK) @ np.linalg.inv(from_unit_square(TRAPEZIUM))
    pixels = np.array([[900.0, 2000.0], [2011.5, 1400.25], [3000.0, 500.0]])
    expected = applied(closed, pixels)
    assert np.allclose(applied(direct_homography(TRAPEZIUM, BLANK), pixels), expected, atol=1e-8)
    assert np.allclose(fitted_mapping(TRAPEZIUM, BLANK).to_mm(pixels), expected, atol=1e-6)


def test_there_and_back() -> None:
    mapping = Mapping2D(direct_homography(TRAPEZIUM, BLANK))
    assert np.allclose(mapping.to_mm(mapping.to_pixels(POINTS)), POINTS, atol=1e-9)


def test_more_points_than_four_take_the_least_squares_of_pixels() -> None:
    """No small change of the mapping brings the pixels closer: a gradient by differences, made here."""
    rng = np.random.default_rng(3)
    truth = direct_homography(TRAPEZIUM, BLANK)
    places = np.vstack([BLANK, POINTS])
    pixels = applied(np.linalg.inv(truth), places) + rng.normal(0.0, 2.0, (9, 2))

    def squares(homography: np.ndarray) -> float:
        return float(np.sum((applied(np.linalg.inv(homography), places) - pixels) ** 2))

    found = fitted_mapping(pixels, places).homography
    least = squares(found)
    assert least < squares(direct_homography(pixels, places))
    assert least < squares(truth)
    for i in range(8):
        step = np.zeros(9)
        step[i] = 1e-4 * found.ravel()[i]
        for sign in (-1.0, 1.0):
            assert squares(found + sign * step.reshape(3, 3)) > least
