"""The law in use on held-out cases: as good as promised where sitters keep their tissue, and nearly so beyond."""

from held_out import KEPT, cases


def test_every_case_that_keeps_its_tissue_is_within():
    usual = [one for one in cases() if one.left >= KEPT]
    assert len(usual) > 30
    assert [one for one in usual if not one.within] == []


def test_pressed_further_no_more_than_one_is_outside():
    table = cases()
    outside = [one for one in table if not one.within]
    assert len(table) > 45
    assert len(outside) <= 1
    assert all(abs(one.errors[0]) < 0.25 for one in outside)
