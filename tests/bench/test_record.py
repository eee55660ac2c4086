"""The film record: entered, carried into the next job, printed as a card, and never more than it holds."""

from __future__ import annotations

from datetime import date
from functools import cache
from typing import Any

import pytest
from bench_jobs import DULL, NICK, PEEL, answer, panel, zone
from bench_logs import Book
from hypothesis import given
from hypothesis import strategies as st

from finishplan.bench.columns import width_of
from finishplan.bench.log_lines import ReplanLine
from finishplan.bench.record import (
    READ_AS,
    SERVICES_MOST,
    FilmRecord,
    enter_service,
    film_from_record,
    film_record,
    next_job,
    services_left,
)
from finishplan.bench.record_card import card_of, card_text, services_words
from finishplan.bench.replan import consent_line, replan
from finishplan.errors import FinishplanError, UnknownName
from finishplan.planning.plan import make_plan
from finishplan.planning.risk import audit
from finishplan.survey.job import job_as_dict, read_job_dict

DAY = date(2031, 5, 14)
EDGE = {"name": "edge", "kind": "edge", "area_m2": 0.05,
        "readings": [{"um": um, "spot": 7 + k} for k, um in enumerate((262, 258, 265))], "defects": []}
BUILD_UP = {"kind": "polish_build_up", "note": "wipes grey"}
CRACK = {"kind": "crack", "wish": "leave"}


@cache
def found() -> Any:
    return answer(panel(zone({**NICK, "at": {"x": 0.25, "y": 0.5}}, PEEL, BUILD_UP, CRACK), EDGE),
                  panel(zone({**DULL, "wish": "leave"}), name="other"))


def finish(book: Book, made: Any, job: Any, plan: Any, at: int = 0, read: bool = True, who: str = "F1") -> None:
    """Log every step of a panel as done, and the film at its end as planned."""
    planned = plan.panels[at]
    for z in planned.zones:
        for entry in z.defects:
            if entry.repair in ("fill", "spot"):
                book.add("repair done", who=who, panel=planned.name, zone=z.name,
                         values={"defect": entry.index, "repair": entry.repair})
    for step in planned.sequence:
        book.done(step, panel=planned.name, who=who)
    for surveyed, z in zip(job.panels[at].zones, planned.zones, strict=True):
        if read and z.starts_at:
            for reading in surveyed.readings:
                book.read(reading.um - z.removal_um, reading.spot, planned.sequence[-1], panel=planned.name,
                          zone=surveyed.name, who=who)


def record(book: Book, made: Any = None, **more: Any) -> FilmRecord:
    made = made or found()
    return film_record(made.job, made.profile, made.plan, book.lines, DAY, **more)


@cache
def done() -> tuple[Book, FilmRecord]:
    book, made = Book(), found()
    finish(book, made, made.job, made.plan)
    risk = audit(made.job, made.profile, made.plan, draws=2000, readings=False)
    return book, record(book, risk=risk)


def test_each_zone_says_what_was_taken_and_what_is_left() -> None:
    made, (_, entry) = found(), done()
    field, edge, other = entry.zones
    planned = made.plan.panels[0].zones[0]
    assert field.film_um == pytest.approx(400.0 - planned.removal_um)
    assert field.removal_um == pytest.approx(planned.removal_um)
    assert field.removal_read
    assert (field.readings, edge.readings) == (5, 3)
    assert edge.removal_um == pytest.approx(made.plan.panels[0].zones[1].removal_um)
    assert (other.removal_um, other.film_um, other.services) == (0.0, pytest.approx(400.0), None)


def test_what_was_done_by_whom_and_where_the_fill_is() -> None:
    made, (_, entry) = found(), done()
    steps = made.plan.panels[0].sequence
    assert entry.by == "F1"
    assert entry.what.startswith(f"Part: {', '.join(steps[:-1])} and {steps[-1]}; fill of nick in field at 0.25, 0.50")
    assert "other" not in entry.what


def test_entering_adds_one_service_and_the_file_reads_it() -> None:
    made, (_, entry) = found(), done()
    job = enter_service(made.job, entry)
    assert read_job_dict(job_as_dict(job)) == job
    (service,) = job.services
    assert (service.date, service.by, service.what) == ("2031-05-14", "F1", entry.what)
    assert [(z.panel, z.zone) for z in service.zones] == [("part", "field"), ("part", "edge"), ("other", "field")]
    assert service.zones[0].film_um == entry.zones[0].film_um
    assert enter_service(job, entry).services == (service, service)


def test_film_nobody_read_is_not_entered_as_film() -> None:
    made, book = found(), Book()
    finish(book, made, made.job, made.plan, read=False)
    entry = record(book)
    field = entry.zones[0]
    assert field.film_um is None
    assert not field.removal_read
    assert field.by_plan_um == pytest.approx(400.0 - made.plan.panels[0].zones[0].removal_um)
    zone_entry = enter_service(made.job, entry).services[0].zones[0]
    assert (zone_entry.film_um, zone_entry.removal_um) == (None, pytest.approx(field.removal_um))


def test_work_broken_off_is_no_finished_service() -> None:
    made, book = found(), Book()
    first = made.plan.panels[0].sequence[0]
    book.done(first)
    with pytest.raises(FinishplanError, match=f"part, field: work is broken off after {first}; finish the panel"):
        record(book)


def test_what_was_taken_before_a_new_plan_counts() -> None:
    made, book = found(), Book()
    first = made.plan.panels[0].steps[0]
    book.add("repair done", panel="part", zone="field", values={"defect": 0, "repair": "fill"})
    book.done(first.step, who="F2")
    for reading in made.job.panels[0].zones[0].readings:
        book.read(reading.um - 26.0, reading.spot, first.step)
    then = replan(made.job, made.profile, made.plan, book.lines)
    line = ReplanLine.model_validate({"number": 1, "at": "2031-05-12T12:00:00+02:00", "who": "F1",
                                      "values": {"why": "more was taken", "role": "finisher"}})
    book.lines.append(consent_line(then, len(book.lines) + 1, line))
    with pytest.raises(FinishplanError, match=f"work is broken off after {first.step}"):
        film_record(then.job, made.profile, then.plan, book.lines, DAY)
    finish(book, made, then.job, then.plan)
    entry = film_record(then.job, made.profile, then.plan, book.lines, DAY)
    rest = then.plan.panels[0].zones[0].removal_um
    assert entry.zones[0].removal_um == pytest.approx(26.0 + rest)
    assert entry.zones[0].film_um == pytest.approx(400.0 - 26.0 - rest)
    assert entry.zones[0].removal_read
    assert entry.by == "F1, F2"
    assert entry.what.count(first.step) == 1
    assert "fill in field" in entry.what


def test_what_nobody_read_before_a_new_plan_stays_by_the_plan() -> None:
    made, book = found(), Book()
    first = made.plan.panels[0].steps[0]
    book.done(first.step)
    then = replan(made.job, made.profile, made.plan, book.lines)
    line = ReplanLine.model_validate({"number": 1, "at": "2031-05-12T12:00:00+02:00", "who": "F1",
                                      "values": {"why": "nobody read", "role": "finisher"}})
    book.lines.append(consent_line(then, len(book.lines) + 1, line))
    for spot in range(1, 6):
        book.read(375.0, spot)
    later = replan(then.job, made.profile, then.plan, book.lines)
    book.lines.append(consent_line(later, len(book.lines) + 1, line))
    finish(book, made, later.job, later.plan)
    entry = film_record(later.job, made.profile, later.plan, book.lines, DAY)
    assert entry.zones[0].film_um is not None
    assert not entry.zones[0].removal_read


@pytest.mark.parametrize("read_as", READ_AS)
def test_the_next_job_starts_from_the_record(read_as: str) -> None:
    made, (book, entry) = found(), done()
    job = next_job(made.job, made.profile, made.plan, book.lines, entry, "two years on", read_as)
    assert read_job_dict(job_as_dict(job)) == job
    assert (job.title, job.due, job.test_spot, job.hardware) == ("two years on", None, None, ())
    assert job.services == enter_service(made.job, entry).services
    field = job.panels[0].zones[0]
    assert field.previous_step is None
    assert [d.kind for d in field.defects] == ["crack"]
    removal = made.plan.panels[0].zones[0].removal_um
    assert [r.spot for r in field.readings] == [1, 2, 3, 4, 5]
    assert [r.um for r in field.readings] == pytest.approx([um - removal for um in (402, 398, 405, 400, 395)])
    plan = make_plan(job, made.profile)
    assert plan.panels[0].zones[0].film_mean_um == pytest.approx(entry.zones[0].film_um)
    assert {r.method for r in field.readings} == {"estimate" if read_as == "estimates" else "ultrasonic"}
    again = job_as_dict(job)
    again["panels"][0]["zones"][0]["defects"].append(PEEL)
    verdict = make_plan(read_job_dict(again), made.profile).panels[0].zones[0].verdict
    assert verdict == ("measure first" if read_as == "estimates" else "go")


def test_a_reading_of_the_record_says_when_it_was_taken() -> None:
    made, (book, entry) = found(), done()
    job = next_job(made.job, made.profile, made.plan, book.lines, entry, "next")
    assert job.panels[0].zones[0].readings[0].note == "ultrasonic, from the record of 2031-05-14: read again"


def test_how_readings_stand_is_one_of_two() -> None:
    made, (book, entry) = found(), done()
    with pytest.raises(UnknownName, match="readings is 'gospel'; choose one of: estimates, readings"):
        next_job(made.job, made.profile, made.plan, book.lines, entry, "next", "gospel")


def test_an_unread_zone_takes_the_film_of_the_record() -> None:
    made, (_, entry) = found(), done()
    raw = job_as_dict(enter_service(made.job, entry))
    for surveyed in raw["panels"]:
        for z in surveyed["zones"]:
            z["readings"], z["defects"] = [], []
    raw["panels"][1]["zones"][0]["film_estimate_um"] = 111.0
    job = film_from_record(read_job_dict(raw))
    assert job.panels[0].zones[0].film_estimate_um == entry.zones[0].film_um
    assert job.panels[1].zones[0].film_estimate_um == 111.0
    assert film_from_record(made.job) == made.job


def test_the_latest_service_that_read_a_zone_counts() -> None:
    services = [{"zones": [{"panel": "part", "zone": "field", "film_um": um}]} for um in (380.0, 350.0)]
    services.append({"zones": [{"panel": "part", "zone": "field", "removal_um": 3.0}]})
    job = read_job_dict(job_as_dict(answer(panel(zone(readings=[])), services=services).job))
    assert film_from_record(job).panels[0].zones[0].film_estimate_um == 350.0


@given(st.tuples(st.integers(0, 10), st.integers(0, 10)), st.floats(0.0, 2000.0), st.floats(0.0, 200.0),
       st.floats(0.01, 500.0), st.integers(0, 10))
def test_never_more_services_than_the_film_holds_the_draws_say_or_three(
    drawn: tuple[int, int], film: float, keep: float, removal: float, most: int
) -> None:
    low, high = sorted(drawn)
    left = services_left((low, high), film, keep, removal, most)
    assert 0 <= left[0] <= left[1] <= min(high, most, SERVICES_MOST)
    assert left[0] <= low
    assert left[1] == 0 or keep + left[1] * removal <= film * (1 + 1e-9) + 1e-6


def test_a_film_of_eight_tenths_never_promises_more_than_the_restorers_account() -> None:
    # A restorer's published account: 2 to 3 refinishings in 0.8 mm of film.
    thick = answer(panel(zone(PEEL, readings=[{"um": um, "spot": k} for k, um in enumerate((802, 795, 808, 799))])))
    book = Book()
    finish(book, thick, thick.job, thick.plan)
    risk = audit(thick.job, thick.profile, thick.plan, draws=2000, readings=False)
    (field,) = record(book, thick, risk=risk).zones
    assert field.services is not None
    assert field.services[1] <= 3


def test_services_are_told_only_from_draws() -> None:
    book, entry = done()
    assert entry.zones[0].services is not None
    assert entry.zones[0].services[0] <= entry.zones[0].services[1] <= 3
    assert record(book).zones[0].services is None
    assert services_words(record(book).zones[0]) == "– (not drawn)"
    assert services_words(entry.zones[2]) == "– (none done)"


def test_thin_film_says_none_is_left() -> None:
    made, book = found(), Book()
    finish(book, made, made.job, made.plan, read=False)
    last = made.plan.panels[0].sequence[-1]
    for reading in made.job.panels[0].zones[0].readings:
        book.read(90.0, reading.spot, last)
    risk = audit(made.job, made.profile, made.plan, draws=500, readings=False)
    assert record(book, risk=risk).zones[0].services == (0, 0)


def test_the_card_is_eighty_columns_of_plain_text() -> None:
    made, (_, entry) = found(), done()
    text = card_text(card_of(made.job, entry))
    lines = text.splitlines()
    assert all(width_of(line) <= 80 and line == line.rstrip() for line in lines)
    assert lines[0] == "FILM RECORD - keep this card in the instrument"
    assert "Job:        Made for a test" in lines
    assert "Service:    2031-05-14, by F1" in lines
    field = next(line for line in lines if line.startswith("part") and " field " in line)
    film, taken = entry.zones[0].film_um, entry.zones[0].removal_um
    assert film is not None
    assert field.split()[2:4] == [f"{int(film)}", f"{-(-taken // 1):.0f}"]
    assert "not a promise" in " ".join(text.split())
    assert "*" not in text
    assert "Earlier services" not in text


def test_the_card_marks_what_nobody_read_and_lists_what_was_before() -> None:
    made, book = found(), Book()
    finish(book, made, made.job, made.plan, read=False)
    _, earlier = done()
    text = card_text(card_of(enter_service(made.job, earlier), record(book)))
    field = next(line for line in text.splitlines() if line.startswith("part") and " field " in line)
    assert field.split()[2].endswith("*")
    assert field.split()[3].endswith("*")
    assert "* by the plan or a guess: nobody has read it since." in " ".join(text.split())
    assert "- 2031-05-14, by F1: Part:" in text


def test_a_long_name_in_a_wide_script_keeps_its_columns() -> None:
    made = answer(panel(zone(DULL, name="面" * 40), name="大屋根の上面" * 8), title="修理" + "長" * 90)
    book = Book()
    entry = film_record(made.job, made.profile, made.plan, book.lines, DAY)
    text = card_text(card_of(made.job, entry))
    assert all(width_of(line) <= 80 for line in text.splitlines())
    assert "nothing was worked" in text
    assert "– (nobody is named)" in text
