"""What a job says of its quote: over the shop's terms, edited, clashes told, bad values named in one sentence."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest

from finishplan.errors import BadValue, FinishplanError
from finishplan.office.inputs import change_inputs, laid_over, values_of
from finishplan.office.labour import total_minutes
from finishplan.office.quote_text import table_rows
from finishplan.office.quote_work import without_past_due, work_up_quote
from finishplan.office.typed_inputs import (
    code,
    due,
    lines_of,
    number,
    number_text,
    rate,
    read_number,
    read_taxes,
    taxes_text,
    whole,
)
from finishplan.records.files import demo_job_path, demo_shop_path, read_file
from finishplan.shop.profile import Profile, apply_shop, default_profile
from finishplan.survey.edits import EditClash
from finishplan.survey.job import read_job_dict
from finishplan.workup import work_up

BODY: dict[str, Any] = read_file(demo_job_path())
DAY = date(2026, 6, 1)


def shop(**more: Any) -> Profile:
    return apply_shop(default_profile(), {**read_file(demo_shop_path()), **more})


def typed(body: dict[str, Any], **new: Any) -> dict[str, Any]:
    return dict(change_inputs(body, values_of(body, shop()), new, shop()).body)


def test_inputs_of_the_job_go_over_the_terms_of_the_shop() -> None:
    body = typed(BODY, margin_percent=40.0, option="buff only", start="2026-07-06")
    assert body["quote"] == {"option": "buff only", "start": "2026-07-06", "terms": {"margin_percent": 40.0}}
    quote, _ = work_up_quote(read_job_dict(body), shop(), DAY)
    plain, _ = work_up_quote(read_job_dict(BODY), shop(), DAY)
    assert quote.chosen == "buff only" and quote.day == DAY
    assert quote.main.days is not None and quote.main.days.start.date() == date(2026, 7, 6)
    assert quote.main.totals is not None and plain.options[0].totals is not None
    assert quote.main.totals.total > plain.options[0].totals.total


def test_a_value_like_the_shop_s_is_not_kept_so_that_the_shop_s_next_one_counts() -> None:
    body = typed(typed(BODY, margin_percent=40.0), margin_percent=30.0)
    assert body["quote"].get("terms") is None
    assert values_of(body, shop(quote={"margin_percent": 25.0}))["margin_percent"] == 25.0


def test_an_hour_s_cost_goes_role_by_role() -> None:
    found = laid_over({"cost_per_h": {"finisher": 50.0, "helper": 20.0}}, {"cost_per_h": {"finisher": 60.0}})
    assert found == {"cost_per_h": {"finisher": 60.0, "helper": 20.0}}


def test_another_s_change_of_the_same_input_is_told() -> None:
    was, stands = values_of(BODY, shop()), typed(BODY, margin_percent=35.0)
    with pytest.raises(EditClash, match="margin was changed by somebody else since; it is 35"):
        change_inputs(stands, was, {"margin_percent": 45.0}, shop())
    assert change_inputs(stands, was, {"travel": 20.0}, shop()).body["quote"]["terms"] == {
        "margin_percent": 35.0, "travel": 20.0}
    assert change_inputs(stands, {}, {"margin_percent": 45.0}, shop()).body["quote"]["terms"]["margin_percent"] == 45.0


@pytest.mark.parametrize(("new", "said"), [
    ({"margin_percent": 100.0}, "margin_percent is 100"),
    ({"taxes": [{"name": "VAT", "percent": -5.0}]}, "percent is -5"),
    ({"taxes": [{"name": "VAT", "percent": 500.0}]}, "percent is 500"),
    ({"currency": "XQX"}, "currency is 'XQX'"),
    ({"locale": "nowhere"}, "locale is 'nowhere'"),
    ({"start": "next week"}, "write the day as 2026-05-31"),
    ({"option": "all"}, "option is 'all'"),
])
def test_a_bad_input_is_one_sentence_and_changes_nothing(new: dict[str, Any], said: str) -> None:
    before = values_of(BODY, shop())
    with pytest.raises(FinishplanError, match=said) as caught:
        change_inputs(BODY, before, new, shop())
    assert "\n" not in str(caught.value)
    assert values_of(BODY, shop()) == before


def test_the_due_date_goes_into_the_days_and_a_past_one_is_named() -> None:
    quote, _ = work_up_quote(read_job_dict({**BODY, "due": "2026-06-03"}), shop(), DAY)
    days = quote.main.days
    assert days is not None and days.jobs[0].due == date(2026, 6, 3) and days.jobs[0].late_days > 0
    with pytest.raises(BadValue, match="it is before 2026-06-01"):
        work_up_quote(read_job_dict({**BODY, "due": "2026-05-01"}), shop(), DAY)


def test_every_worked_panel_stands_in_the_film_row() -> None:
    quote, _ = work_up_quote(read_job_dict(BODY), shop(), DAY)
    row = dict(table_rows(quote))["film, um"][1]
    worked = [film.panel for film in quote.main.option.film if film.taken_um > 0]
    assert len(worked) > 2 and all(f"{panel}: takes" in row for panel in worked)


def test_the_hours_at_risk_are_those_of_the_labour_table() -> None:
    answer = work_up(read_job_dict(BODY), shop(), draws=2000)
    assert answer.risk is not None
    assert answer.risk.minutes.planned == pytest.approx(total_minutes(answer.labour), rel=1e-9)
    assert any(line.group == "hardware" for line in answer.labour), "the demo has hardware, so this test can fail"


def test_progress_is_told_step_by_step() -> None:
    told: list[tuple[float, str]] = []
    work_up_quote(read_job_dict(BODY), shop(), DAY, told=lambda *step: told.append(step))
    assert [share for share, _ in told] == [k / 6 for k in range(6)]
    assert told[0][1] == "buff only: the plan"


def test_a_due_date_that_is_past_or_no_day_is_left_out_with_a_sentence() -> None:
    for day, said in (("2026-05-01", "when work would start"), ("soon", "write the day as 2026-05-31")):
        job, told = without_past_due(read_job_dict({**BODY, "due": day}), DAY)
        assert job.due is None and said in told
    job, told = without_past_due(read_job_dict({**BODY, "due": "2026-06-01"}), DAY)
    assert (job.due, told) == ("2026-06-01", "")


def test_the_cost_of_an_hour_is_kept_by_role() -> None:
    body = typed(BODY, **{"cost_per_h.finisher": 61.0})
    assert body["quote"]["terms"] == {"cost_per_h": {"finisher": 61.0}}
    assert values_of(body, shop())["cost_per_h.finisher"] == 61.0
    assert "quote" not in str(typed(body, **{"cost_per_h.finisher": None})["quote"])


@pytest.mark.parametrize(("read", "text", "said"), [
    (number("margin"), "much", "margin is 'much'; type a number"),
    (number("margin"), "nan", "type a number"),
    (whole("valid days"), "2.5", "type a whole number"),
    (rate("finisher"), "0", "type what an hour costs"),
    (read_taxes, "VAT", "one tax a line"),
    (read_taxes, "VAT -5", "0 to 100"),
    (read_taxes, "VAT 500", "0 to 100"),
    (read_taxes, "VAT 5 (wine)", "choose among: labour"),
    (due(lambda: DAY), "2026-05-31", "it is before today"),
    (due(lambda: DAY), "soon", "write the day as 2026-05-31"),
])
def test_what_cannot_be_read_is_one_sentence(read: Any, text: str, said: str) -> None:
    with pytest.raises(BadValue, match=re.escape(said)):
        read(text)


def test_what_is_typed_comes_back_as_it_was() -> None:
    taxes = "VAT 21\ncity tax 2.5 (labour, travel)"
    assert taxes_text(read_taxes(taxes)) == taxes
    for value in (0.0, 12.5, 1234567.89, 0.1):
        assert read_number(number_text(value), "x") == value
    assert due(lambda: DAY)(" ") is None and code(" eur ") == "EUR" and lines_of("a\n\n b ") == ["a", "b"]
