"""A deck that a sitter topples before: refused, with one on which the sitter is borne."""

from dataclasses import replace

import pytest

from seatmesh import Order, OrderedSitter, ValueRefusedError, estimate_body
from seatmesh.design.shape import design


def with_deck(deck_mm, depth_mm):
    order = Order("deck", (OrderedSitter(estimate_body("female", 1640.0, 61.0)),))
    blank = replace(order.blank, deck_mm=float(deck_mm), depth_mm=float(depth_mm))
    return replace(order, blank=blank, wishes=replace(order.wishes, depth_mm=14.0))


@pytest.mark.parametrize(("deck_mm", "depth_mm"), [(190, 380), (175, 350), (150, 300)])
def test_the_deck_that_is_advised_bears_the_sitter(deck_mm, depth_mm):
    """On the carved seat, on the bare blank already, and on one so short that much less deck is needed."""
    with pytest.raises(
        ValueRefusedError, match=r"deck_mm = .*so little of the seat .* topples; give"
    ) as refusal:
        design(with_deck(deck_mm, depth_mm))
    (way,) = refusal.value.facts()["ways"]
    advised = way[0]["value"]
    assert 0.0 < advised < deck_mm
    assert design(with_deck(advised, depth_mm)).results[0].best.converged


def test_a_deck_that_bears_is_not_refused():
    assert design(with_deck(150, 380)).results[0].best.converged
