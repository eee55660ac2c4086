"""Rates that the logs of kept jobs teach: shown beside the shipped ones, and used by plans only when switched on."""

from __future__ import annotations

from typing import Any

import pytest
from shop_screen import AT, body, errors, fine, opened, press, words
from streamlit.testing.v1 import AppTest

from finishplan.bench.log import kept_values, read_line
from finishplan.errors import FinishplanError
from finishplan.records.at_bench import at_bench
from finishplan.records.bench_log import set_aside, write_line
from finishplan.records.bench_work import begin
from finishplan.records.shop_learned import from_logs, taken_up
from finishplan.records.store import SHOP_ID, Store
from finishplan.shop.profile import apply_shop, default_profile

DONE = (382.0, 378.0, 385.0, 380.0, 375.0)
MINUTES = 12.5


def one_job(store: Store, title: str, minutes: float = MINUTES) -> str:
    """Keep a job of one field with five readings of 400 um on average, worked one step as it is logged here."""
    before = [402.0, 398.0, 405.0, 400.0, 395.0]
    job_id = store.start({
        "format": "finishplan-job", "version": 1, "title": title, "build": "pigmented through",
        "finish_id": {"result": "polyester"},
        "panels": [{"name": "part", "zones": [{
            "name": "field", "area_m2": 0.5,
            "readings": [{"um": um, "spot": spot} for spot, um in enumerate(before, start=1)],
            "defects": [{"kind": "orange_peel", "area_m2": 0.5, "depth_um": 9.0}]}]}],
    }, "Ana", AT).id
    bench = at_bench(store, job_id, AT)
    begin(store, bench, "Ana", AT)
    step = bench.answer.plan.panels[0].sequence[0]
    raws: list[dict[str, Any]] = [
        {"kind": "minutes", "values": {"minutes": minutes}}, {"kind": "step done"},
        *({"kind": "reading", "zone": "field", "values": {"um": um, "spot": spot}}
          for spot, um in enumerate(DONE, start=1))]
    for raw in raws:
        line = read_line({"number": 1, "at": AT, "who": "Ana", "panel": "part", "step": step, **raw})
        write_line(store, job_id, line.kind, kept_values(line), "Ana", AT, panel="part", step=step)
    return job_id


def first_step(store: Store) -> str:
    return next(rate.step for rate in from_logs(store, body(store), AT).learned.by_step if rate.lines)


def test_two_lines_are_shown_and_not_used_and_three_may_be(kept_store: Store) -> None:
    one_job(kept_store, "first")
    last = one_job(kept_store, "second")
    kept_store.archive(last, "Ana", AT)
    step = first_step(kept_store)
    rate = from_logs(kept_store, body(kept_store), AT).learned.rate(step)
    assert rate is not None and (rate.lines, rate.in_use) == (2, False)
    app = opened("Rates learned")
    assert not app.toggle and f"<td>{step}</td>" in words(app)
    with pytest.raises(FinishplanError, match="two lines: shown, not used; one more line to go"):
        taken_up(rate)
    one_job(kept_store, "third")
    app = opened("Rates learned")
    assert [toggle.value for toggle in app.toggle] == [False]


def switched_on(store: Store) -> tuple[AppTest, str]:
    for title in ("first", "second", "third"):
        one_job(store, title)
    app = opened("Rates learned")
    app.toggle[0].set_value(True).run()
    return fine(app), first_step(store)


def test_a_learned_rate_is_used_by_plans_when_it_is_switched_on_and_never_a_prior_again(kept_store: Store) -> None:
    app, step = switched_on(kept_store)
    before = from_logs(kept_store, {"format": "finishplan-shop", "version": 1}, AT).learned.rate(step)
    assert before is not None and before.learned != before.shipped
    used = apply_shop(default_profile(), body(kept_store)).step(step).removal_rate_cm3_per_min
    assert used == before.learned and "measured here, three lines" in words(app)
    again = from_logs(kept_store, body(kept_store), AT).learned.rate(step)
    assert again == before, "what is in use does not teach itself"
    assert kept_store.history(SHOP_ID, 1)[0].wording.startswith(f"{step}: learned rate")
    app.toggle[0].set_value(False).run()
    assert "learned_rates" not in body(fine(app) and kept_store)
    press(app, f"Undo: {step}: learned rate out of use")
    assert body(fine(app) and kept_store)["learned_rates"][step]["lines"] == 3


def test_what_the_logs_say_now_is_taken_up_by_a_press(kept_store: Store) -> None:
    app, step = switched_on(kept_store)
    one_job(kept_store, "fourth", minutes=2.0 * MINUTES)
    app.run()
    assert "the logs say" in words(app)
    held = body(kept_store)["learned_rates"][step]["rate_cm3_per_min"]
    next(b for b in app.button if b.label.startswith("Take up")).click().run()
    entry = body(fine(app) and kept_store)["learned_rates"][step]
    assert entry["lines"] == 4 and entry["rate_cm3_per_min"] < held
    assert "the logs say" not in words(app)


def test_a_line_set_aside_and_a_log_without_its_plan_do_not_count(kept_store: Store) -> None:
    app, step = switched_on(kept_store)
    odd = one_job(kept_store, "odd")
    set_aside(kept_store, odd, 2, "the timer ran on", "Ana", AT)
    found = from_logs(kept_store, body(kept_store), AT)
    rate = found.learned.rate(step)
    assert rate is not None and rate.lines == 3 and found.jobs == 4
    write_line(kept_store, odd, "replan", {"why": "by hand", "role": "finisher"}, "Ana", AT)
    assert [line.partition(":")[0] for line in from_logs(kept_store, body(kept_store), AT).odd] == ["odd"]
    assert "odd: its log is left out" in words(app.run())


def test_by_tool_by_person_and_line_by_line(kept_store: Store) -> None:
    switched_on(kept_store)
    app = opened("Rates learned", **{"rates_apart_open": True})
    app.session_state["rates_apart_open"] = app.session_state["rates_lines_open"] = True
    told = words(fine(app.run()))
    assert "by tool" in told and "by person" in told and "machine" in told and "Ana" in told
    assert told.count(">counts<") >= 3 and errors(app) == ""
