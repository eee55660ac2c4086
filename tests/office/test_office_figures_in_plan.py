"""The hours of the plan go by the shop's own office figures, as those of the quote do."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from finishplan.office.labour import total_minutes
from finishplan.office.quote_work import work_up_quote
from finishplan.records.files import demo_job_path, demo_shop_path, read_file
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict
from finishplan.workup import work_up


def test_plan_and_quote_count_the_same_hours() -> None:
    job, shop = read_job_dict(read_file(demo_job_path())), read_file(demo_shop_path())
    plain = work_up(job, apply_shop(default_profile(), shop), draws=0)
    own: dict[str, Any] = {**shop, "office": {"supervision_share": 0.5, "refit_factor": 2.0}}
    profile = apply_shop(default_profile(), own)
    planned = work_up(job, profile, draws=0)
    assert planned.labour_minutes != pytest.approx(plain.labour_minutes)
    quote, _ = work_up_quote(job, profile, date(2026, 6, 1), "repair what shows")
    assert planned.labour_minutes == pytest.approx(total_minutes(quote.main.option.lines))
