"""The safety page run without a browser: worst first, sums one tap away, nothing that can be closed or promises."""

from __future__ import annotations

import re

from streamlit.testing.v1 import AppTest

from finishplan.safety.as_json import LOCAL_FIRST
from finishplan.safety.cautions import cautions
from finishplan.screens.parts import job_start
from finishplan.screens.parts.opening import OPEN, Source


def safety_page() -> None:
    from finishplan.screens import safety_page as module
    from finishplan.screens.parts.guard import guarded
    guarded(module.page)()


def words(app: AppTest) -> str:
    return " ".join(str(e.proto.body) for e in app.get("html"))


def opened() -> AppTest:
    app = AppTest.from_function(safety_page, default_timeout=30).run()
    app.button("demo").click().run()
    assert not app.error and not app.exception
    return app


def test_without_a_job_it_shows_the_way_in() -> None:
    app = AppTest.from_function(safety_page, default_timeout=30).run()
    assert [button.label for button in app.button] == ["Open the demo job", "Start a job", "To the jobs"]
    assert not app.error and not app.exception
    app.button("to_start").click().run()
    assert app.session_state[job_start.OPEN], "the form stands open on Jobs"


def test_cautions_come_worst_first_under_the_local_rules() -> None:
    told = words(opened())
    places = [told.index(f'<li class="{severity}">') for severity in ("stop", "high", "medium", "info")]
    assert told.index(LOCAL_FIRST) < places[0] and places == sorted(places)


def test_every_caution_with_a_sum_has_it_one_tap_away_and_closed() -> None:
    app = opened()
    labels = [expander.label for expander in app.expander]
    from finishplan.records.files import demo_job_path, demo_shop_path, read_file
    from finishplan.shop.profile import apply_shop, default_profile
    from finishplan.survey.job import read_job_dict
    from finishplan.workup import work_up
    answer = work_up(read_job_dict(read_file(demo_job_path())),
                     apply_shop(default_profile(), read_file(demo_shop_path())))
    raised = cautions(answer.job, answer.plan, answer.profile)
    assert [c.id for c in raised if c.figures] == [label.split(":")[0] for label in labels if "sum and its" in label]
    assert not any(expander.proto.expanded for expander in app.expander)
    inside = " ".join(str(e.proto.body) for expander in app.expander for e in expander.get("html"))
    for word in ("measured here", "assumed", "published", "NIOSH STEL", "worked out, not measured", "By "):
        assert word in inside


def test_no_ticks_and_no_promises() -> None:
    told = words(opened())
    assert not re.search(r"✓|✔|✅|🟢|\bsafe\b|complian|within the limit", told, re.IGNORECASE)
    assert "This job is only looked at" in told and "not signed for" in told


def test_a_bad_limit_of_the_shop_is_told_in_one_line() -> None:
    from finishplan.records.files import demo_job_path
    app = AppTest.from_function(safety_page, default_timeout=30)
    shop = b'{"format": "finishplan-shop", "version": 1, "local_limits": {"styrene": {"twa": 20, "unit": "ppb"}}}'
    app.session_state[OPEN] = Source("job.json", demo_job_path().read_bytes(), "shop.json", shop)
    app.run()
    assert len(app.error) == 1 and not app.exception
    assert "local" in app.error[0].value and "ppb" in app.error[0].value
