"""Kinds, views and wishes: what is seen from where, and which kinds have no depth."""

from __future__ import annotations

import pytest

from finishplan.survey.choices import VIEW_ORDER, VIEWS
from finishplan.survey.defects import KINDS, counted_view, is_seen, pert_quantile_um


def test_view_order_is_the_table_s_names() -> None:
    assert set(VIEW_ORDER) == set(VIEWS)


@pytest.mark.parametrize("seen_from", VIEW_ORDER)
def test_a_defect_without_view_is_seen_from_everywhere_but_a_hidden_panel(seen_from: str) -> None:
    assert is_seen(None, seen_from)
    assert not is_seen(None, None)


def test_seen_if_its_view_stands_at_or_before_the_panel_s() -> None:
    for i, seen_in in enumerate(VIEW_ORDER):
        for j, seen_from in enumerate(VIEW_ORDER):
            assert is_seen(seen_in, seen_from) is (i <= j)


def test_half_seen_is_as_from_overall_and_hidden_not_seen() -> None:
    assert counted_view("half seen", "hand") == "overall"
    assert counted_view("hidden", "hand") is None
    assert counted_view("seen", "hand") == "hand"


def test_kinds_that_bar_work_have_no_depth_and_only_refer() -> None:
    barring = {kind.name for kind in KINDS.values() if kind.bars_work}
    assert barring == {"lifted_film", "blister"}
    for name in barring:
        assert KINDS[name].depth_um is None
        assert KINDS[name].repairs == ("refer",)


def test_cracks_colour_change_and_old_sand_through_never_sand_out() -> None:
    # common practice, no source
    for name in ("crack", "fade", "sand_through", "yellowing"):
        assert KINDS[name].repairs == ("refer",)


def test_every_kind_s_depth_rises_and_its_quantile_lies_inside() -> None:
    for kind in KINDS.values():
        if kind.depth_um is not None:
            low, likely, high = kind.depth_um
            assert low <= likely <= high
            assert low < pert_quantile_um(low, likely, high, 0.9) < high
