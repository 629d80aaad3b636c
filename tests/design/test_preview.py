"""A preview does not depend on what was asked before it, although much of a sitter is kept between previews."""

from dataclasses import replace

import numpy as np

from seatmesh import Seat
from seatmesh.design import preview as preview_module
from seatmesh.design.orders.order import order_from_table
from seatmesh.design.preview import preview
from seatmesh.fit.hollow import prepare
from seatmesh.seating import sitter as sitter_module

ORDER = order_from_table({"sitter": [{"body": "viola"}]}, "order", "seat")


def wished(**wishes):
    return replace(ORDER, wishes=replace(ORDER.wishes, **wishes))


def test_a_kept_sitter_answers_to_the_bit_as_one_never_seen() -> None:
    preview(wished(depth_mm=9.0, front_roll_mm=12.0))
    preview(wished(depth_mm=20.0))
    kept = preview(wished(depth_mm=15.0))
    sitter_module._kept.cache_clear()
    preview_module._on_flat.cache_clear()
    fresh = preview(wished(depth_mm=15.0))
    assert kept.seat == fresh.seat
    assert kept.sittings == fresh.sittings


def test_a_place_that_is_wished_is_not_taken_for_the_usual_one() -> None:
    bare = Seat(blank=ORDER.blank, chair=ORDER.chair)
    guests = [preview_module._guest(ORDER.sitters[0].body, bare, 1.0)]
    usual, moved = (
        prepare(guests, bare, wished(deepest_y_mm=y).wishes).impressions[0] for y in (None, 170.0)
    )
    assert abs(moved.lowest_y_mm - 170.0) < 1.0
    assert abs(usual.lowest_y_mm - moved.lowest_y_mm) > 2.0
    assert np.array_equal(prepare(guests, bare, ORDER.wishes).impressions[0].rise_mm, usual.rise_mm)
