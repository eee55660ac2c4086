"""The days on paper: bars to scale and complete, the list has what the bars cannot say, same bytes, both papers."""

from __future__ import annotations

import random
import re
from datetime import date, datetime, timedelta
from functools import cache
from pathlib import Path

import printed
import pytest
from drawn import outside, overlaps, read, shapes, texts, width_of
from printed import needs_poppler

from finishplan import cli
from finishplan.errors import UnknownName
from finishplan.office.schedule import Days, JobDays, Row
from finishplan.office.together import Together, plan_together
from finishplan.office.working_time import read_week
from finishplan.paper.days_sheet import Labelled, days_document, days_pdf, jobs_title
from finishplan.paper.office_words import days_lines
from finishplan.paper.pdf import missing_in
from finishplan.paper.schedule_bars import PAPER_FRAME, ROWS_A_DRAWING, bars_of, clock_words, page_bars, rows_of
from finishplan.paper.sheets import whole_job_pdf
from finishplan.records.files import demo_job_path, demo_shop_path, read_file
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict
from finishplan.workup import days_of, days_or_why

MONDAY = datetime(2026, 6, 1)
LABEL = Labelled("Made for a test (invented)", {"j0": 7})


def at(hours: float, day: int = 0) -> datetime:
    return MONDAY + timedelta(days=day, minutes=round(60 * hours))


def row(job: str, phase: str, who: tuple[str, ...], *spans: tuple[datetime, datetime]) -> Row:
    return Row(job, f"{phase} something", phase, who, sum((b - a).seconds // 60 for a, b in spans), spans)


def days(*rows: Row, jobs: int = 1, names: dict[str, str] | None = None, title: str = "an invented job") -> Days:
    """A schedule made by hand; our own invention, worked out by nobody."""
    held = tuple(JobDays(f"j{k}", f"{title} {k}", date(2026, 6, 1), date(2026, 6, 9), at(9), at(9), 1, 1)
                 for k in range(jobs))
    people = names or {"F1": "a finisher", "T1": "a trainee"}
    return Days(MONDAY, held, rows, at(9), at(9), 0, 0, 1, 1, False, dict.fromkeys(people, 60), people, ("A note.",))


@cache
def together() -> Together:
    """Three demos in the demo shop, due one after the other."""
    shop = apply_shop(default_profile(), read_file(demo_shop_path()))
    body = read_file(demo_job_path())
    jobs = [(f"j{k}", read_job_dict({**body, "title": f"{body['title']} {k}", "due": f"2026-06-{10 + k}"}))
            for k in range(3)]
    return plan_together(jobs, shop, MONDAY)


def drawn(found: Days) -> list[str]:
    return [svg for svg, _ in page_bars(found)]


def test_bars_are_to_scale_over_all_drawings() -> None:
    rows = [row("j0", "sand", ("F1",), (at(8, k), at(8.5 + k / 10, k))) for k in range(40)]
    bars = [bar for svg in drawn(days(*rows)) for bar in shapes(svg, "bar sand")]
    assert len(bars) == 40, "none is left out"
    half_hour = width_of(bars[0])
    assert [width_of(bar) for bar in bars] == pytest.approx(
        [half_hour * round(30 + 6 * k) / 30 for k in range(40)], abs=0.02)


@pytest.mark.parametrize("seed", range(30))
def test_nothing_overlaps_or_leaves_the_frame_and_letters_are_of_eleven_points(seed: int) -> None:
    rng, rows = random.Random(seed), []
    people = {f"P{k}": rng.choice(["a finisher", "somebody of the invented shop", "訓練生"]) for k in range(18)}
    for day in range(rng.randint(1, 9)):
        for who in rng.sample(sorted(people), rng.randint(1, 18)):
            hour = rng.uniform(6, 9)
            for _ in range(rng.randint(1, 9)):
                length = rng.choice([0.05, 0.3, 1.2])
                rows.append(row(f"j{rng.randrange(12)}", rng.choice(["sand", "buff", "hand over"]), (who,),
                                (at(hour, day), at(hour + length, day))))
                hour += length + rng.choice([0, 0, 0.5])
    made = days(*rows, jobs=12, names=people)
    for svg in drawn(made):
        assert overlaps(svg) == [] and outside(svg) == []
        assert {node.attrib["font-size"] for node in read(svg).iter() if "font-size" in node.attrib} == {"11"}
        assert float(read(svg).attrib["width"]) == PAPER_FRAME.width
    bars = sum(len(shapes(svg, f"bar {phase}")) for svg in drawn(made) for phase in ("sand", "buff", "hand over"))
    assert bars == len(bars_of(made))


def test_a_day_is_in_one_drawing_where_it_fits_and_says_itself_again_where_not() -> None:
    people = {f"P{k:02d}": f"person {k}" for k in range(ROWS_A_DRAWING + 3)}
    one_day = [row("j0", "sand", (who,), (at(8), at(9))) for who in people]
    assert [len(shapes(svg, "bar sand")) for svg in drawn(days(*one_day, names=people))] == [ROWS_A_DRAWING, 3]
    assert all("Mon 1 Jun" in [words for words, _ in texts(svg)] for svg in drawn(days(*one_day, names=people)))
    most = [row("j0", "sand", ("F1",), (at(8, k), at(9, k))) for k in range(ROWS_A_DRAWING - 1)]
    two = [row("j0", "buff", (who,), (at(8, 20), at(9, 20))) for who in ("F1", "T1")]
    first, second = drawn(days(*most, *two))
    assert len(shapes(first, "bar sand")) == ROWS_A_DRAWING - 1 and not shapes(first, "bar buff")
    assert len(shapes(second, "bar buff")) == 2


def test_a_bar_without_room_for_its_name_has_its_number_in_the_list() -> None:
    rows = [row("j0", phase, ("F1",), (at(8 + k / 3), at(8 + (k + 1) / 3))) for k, phase in
            enumerate(("hand over", "prepare", "hand over", "prepare"))]
    (svg,) = drawn(days(*rows, row("j0", "look", ("F1",), (at(15), at(16)))))
    said = [words for words, _ in texts(svg)]
    assert {"1", "2", "3"} <= set(said) and "prepare" in said, "the fourth has room beside it"
    many = days(*[row(f"j{k % 2}", "sand", ("F1",), (at(8 + 2 * k), at(10 + 2 * k))) for k in range(3)], jobs=2)
    assert {"sand, job 1", "sand, job 2"} <= {words for words, _ in texts(drawn(many)[0])}


@needs_poppler
def test_the_list_has_every_bar_with_its_times_and_tasks() -> None:
    found = together().days
    said = printed.text_of(days_pdf(found, Labelled("three", {})))
    for (_, person), bars in rows_of(bars_of(found)).items():
        assert found.names[person] in said
        for number, bar in enumerate(bars, start=1):
            begin, end = clock_words(bar.begin_min), clock_words(bar.end_min)
            line = f"{number} {begin} {end} {bar.end_min - bar.begin_min:.0f} Job"
            assert line in said, line
    for one in found.rows:
        assert printed.plain(one.what) in said


@needs_poppler
def test_one_job_says_days_ready_bound_and_gap_with_its_revision_in_the_head() -> None:
    answer = printed.demo()
    found = days_of(answer, MONDAY)
    made = days_pdf(found, Labelled(answer.job.title, {found.jobs[0].key: 7}))
    said = printed.text_of(made)
    assert all(printed.plain(line) in said for line in days_lines(found))
    assert re.search(r"working days in \w+ days; ready \w{3} \d+ \w{3}, \d+:\d\d", said)
    heads = printed.heads(made)
    assert heads == [(n, len(heads)) for n in range(1, len(heads) + 1)]
    assert said.count("revision 7") == len(heads) and "From Mon 1 Jun 2026." in said


@needs_poppler
def test_several_jobs_stand_in_a_table_with_due_date_and_revision() -> None:
    made = together()
    label = Labelled(jobs_title(made.days), {"j0": 3, "j1": 4, "j2": 12})
    said = printed.text_of(days_pdf(made.days, label, "Letter", ("This one is left out.",)))
    assert "Days: Three jobs of the shop" in said and "revision in the table" in said
    for number, (job, revision) in enumerate(zip(made.days.jobs, (3, 4, 12), strict=True), start=1):
        assert f"{number} {job.title} {revision} " in said
    assert "This one is left out." in said and "Jobs are taken to stand apart" in said


@needs_poppler
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_nothing_leaves_the_page_and_nothing_is_small(paper: str) -> None:
    made = days_pdf(together().days, LABEL, paper)
    for x1, y1, x2, y2, width, height, word in printed.words(made):
        assert x1 >= 33 and x2 <= width - 33 and y1 >= 18 and y2 <= height - 20, word
    assert {size for size, words in printed.sized(made) if words.strip()} >= {33}
    assert min(size for size, words in printed.sized(made) if words.strip()) == 33


@needs_poppler
def test_no_table_is_split_badly() -> None:
    """A short day of one person stands whole under its heading; no page ends with a heading."""
    made = together().days
    pages = printed.text_of(days_pdf(made, LABEL)).split("\f")
    for (day, person), bars in rows_of(bars_of(made)).items():
        head = f"{day.day} Jun 2026: {made.names[person]} Bar From To min What"
        page = next(page for page in pages if head in page)
        assert all(f"{clock_words(bar.begin_min)} {clock_words(bar.end_min)}" in page for bar in bars)


def test_same_bytes_tagged_with_words_for_every_drawing_and_nothing_that_acts() -> None:
    made = days_pdf(together().days, LABEL)
    assert made == days_pdf(together().days, LABEL) and made != days_pdf(together().days, LABEL, "Letter")
    inside = printed.objects(made)
    assert b"/StructTreeRoot" in inside and b"pdfuaid:part" in inside
    assert inside.count(b"/Alt") >= len(drawn(together().days))
    for word in (b"/JavaScript", b"/JS", b"/Launch", b"/OpenAction", b"/AA", b"/URI", b"/EmbeddedFile", b"/AcroForm",
                 b"/CreationDate", b"/ModDate"):
        assert not re.search(word + rb"\b", inside), word


@needs_poppler
def test_odd_names_and_no_work_stay_readable() -> None:
    names = {"F1": "Lid Крышка 蓋の上 뚜껑 ฝา" * 3, "T1": "p" * 200}
    found = days(row("j0", "sand", ("F1", "T1"), (at(8), at(9))), names=names, title="W" * 300)
    made = days_document(found, Labelled("W" * 300, {"j0": 1}))
    assert missing_in(made) == ()
    said = printed.text_of(days_pdf(found, Labelled("W" * 300, {"j0": 1})))
    assert said.replace(" ", "").count("W" * 300) == 1, "whole in the title, cut in the head"
    assert "There is no work to put into days." in printed.text_of(days_pdf(days(), LABEL))
    with pytest.raises(UnknownName, match="choose one of: A4, Letter"):
        days_pdf(found, LABEL, "A3")


@needs_poppler
def test_the_whole_job_has_its_days_where_the_shop_says_its_hours() -> None:
    answer = printed.demo()
    assert read_week(answer.profile.file.hours)
    found, why = days_or_why(answer, MONDAY)
    assert found is not None and why == ""
    made = whole_job_pdf(answer, "A4", 7, found)
    said = printed.text_of(made)
    assert "Days: Demo (invented)" in said and said.count("revision 7") == len(printed.heads(made))
    none, why = days_or_why(printed.worked("satin"), MONDAY)
    assert none is None
    said = printed.text_of(whole_job_pdf(printed.worked("satin"), no_days=why))
    assert "Days: not worked out; our shop has not said its working hours." in said


@needs_poppler
def test_the_command_writes_days_and_every_page_of_a_job(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    job, shop = str(demo_job_path()), str(demo_shop_path())
    out = tmp_path / "days.pdf"
    asked = ["quote", job, "--shop", shop, "--start", "2026-06-01", "--days-pdf", str(out), "--paper", "A4"]
    assert cli.main(asked) == 1
    told = capsys.readouterr()
    assert (told.out, told.err) == (f"{out} is written.\n", "")
    quoted = printed.text_of(out.read_bytes())
    whole = tmp_path / "whole.pdf"
    asked = ["sheet", job, "--shop", shop, "--pdf", str(whole), "--pages", "whole job", "--start", "2026-06-01"]
    assert cli.main(asked) == 1
    ready = re.search(r"ready \w{3} \d+ \w{3}, \d+:\d\d", quoted)
    assert ready and ready[0] in printed.text_of(whole.read_bytes()), "quote and whole job are ready at the same time"
    for pages, head in (("materials", "Materials:"), ("film record", "Film record"), ("hand-over", "Hand-over:"),
                        ("inspection", "Inspection:"), ("bench sheets", "Read this before any part")):
        assert cli.main(["sheet", job, "--pdf", str(whole), "--pages", pages]) == 1
        assert head in printed.text_of(whole.read_bytes()), pages
    capsys.readouterr()
