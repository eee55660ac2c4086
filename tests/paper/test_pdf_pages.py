"""The other printed pages: whole job, materials, film record, hand-over, inspection."""

from __future__ import annotations

import re

import printed
import pytest
from printed import needs_poppler, plain

from finishplan import wording
from finishplan.bench.inspection import Found, read_found
from finishplan.bench.sheet import sheets_of
from finishplan.errors import UnknownName
from finishplan.paper.sheets import (
    hand_over_pdf,
    inspection_pdf,
    materials_pdf,
    record_card_pdf,
    sheet_pdf,
    whole_job_pdf,
)
from finishplan.workup import Answer

PAGES = {
    "sheet": sheet_pdf, "whole job": whole_job_pdf, "materials": materials_pdf, "record": record_card_pdf,
    "hand-over": hand_over_pdf, "inspection": inspection_pdf,
}


def said(pdf: bytes) -> str:
    return " ".join(printed.text_of(pdf).split())


@needs_poppler
@pytest.mark.parametrize("name", PAGES)
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_every_page_has_its_head_and_stays_on_the_paper(name: str, paper: str) -> None:
    made = PAGES[name](printed.demo(), paper, 12)
    heads = printed.heads(made)
    assert len(heads) == printed.page_count(made)
    assert heads == [(n, m) for m in (of for n, of in heads if n == 1) for n in range(1, m + 1)]
    assert printed.text_of(made).count("revision 12") == len(heads)
    assert all(x1 >= 33 and x2 <= width - 33 and y2 <= height - 20
               for x1, _, x2, y2, width, height, _ in printed.words(made))
    assert made == PAGES[name](printed.demo(), paper, 12)
    inside = printed.objects(made)
    assert b"/StructTreeRoot" in inside
    assert b"pdfuaid:part" in inside


@needs_poppler
@pytest.mark.parametrize("name", PAGES)
def test_pages_of_every_worked_job_and_of_odd_names(name: str) -> None:
    odd = '#panic("x") $y$ *b* \\ <l> @r ' + "x" * 100
    strange = printed.answer(
        printed.panel(printed.zone(printed.SCRATCH, printed.NICK, name=odd), name=odd), title=odd, customer=odd,
        instrument={"id": odd, "kind": odd, "year": 1990},
        services=[{"date": odd, "what": odd, "by": odd, "zones": [{"panel": odd, "zone": odd, "removal_um": 3.2}]}])
    for answer in [*(printed.worked(job) for job in printed.NAMES), strange]:
        made = PAGES[name](answer)
        assert all(x1 >= 33 and x2 <= width - 33 for x1, _, x2, _, width, _, _ in printed.words(made))
    assert '#panic("x") $y$ *b* \\ <l> @r' in said(made)


@pytest.mark.parametrize("name", PAGES)
def test_another_paper_is_refused_everywhere(name: str) -> None:
    with pytest.raises(UnknownName, match="paper is 'letter'; did you mean 'Letter'"):
        PAGES[name](printed.worked("satin"), "letter")


# The whole job.


@needs_poppler
def test_whole_job_goes_grade_by_grade_coarse_to_fine() -> None:
    answer = printed.grand()
    found = said(whole_job_pdf(answer))
    steps = [step.name for step in answer.profile.steps
             if any(row.step == step.name for sheet in sheets_of(answer) for row in sheet.rows)]
    heads = [f"{step[:1].upper()}{step[1:]}{', wet' if answer.profile.step(step).is_sheet else ''}: about"
             for step in steps]
    at = [found.index(head) for head in heads]
    assert len(at) >= 4
    assert at == sorted(at)
    fills, wash = found.index("Fills first: they have to stand"), found.index("Before any compound: all washed down")
    first_compound = next(k for k, step in enumerate(steps) if not answer.profile.step(step).is_sheet)
    assert fills < at[0] < at[first_compound - 1] < wash < at[first_compound]
    assert found.count("HOLD Before any compound") == 1
    assert found.index("HOLD Cold, next day") > at[-1]


@needs_poppler
def test_every_panel_stands_under_each_of_its_steps_with_who_and_minutes() -> None:
    answer = printed.demo()
    found = said(whole_job_pdf(answer))
    taken = {row.step for sheet in sheets_of(answer) for row in sheet.rows}
    steps = [step for step in answer.profile.steps if step.name in taken]
    cuts = [found.index(f"{step.name[:1].upper()}{step.name[1:]}{', wet' if step.is_sheet else ''}: about")
            for step in steps] + [found.index("Next day")]
    for step, start, end in zip(steps, cuts[:-1], cuts[1:], strict=True):
        part = found[start:end]
        rows = [(sheet, row) for sheet in sheets_of(answer) for row in sheet.rows if row.step == step.name]
        total = sum(row.minutes for _, row in rows) + step.change_min
        assert f"about {wording.minutes_words(total)} over all panels, change included" in part
        for sheet, row in rows:
            assert f"{sheet.panel} {sheet.worker}" in part
            assert wording.minutes_words(row.minutes) in part
            read = [f"read {c.zone}" for c in sheet.checks if c.after == row.number]
            assert all(words in part for words in read)
        assert part.count("HOLD, finisher signs") == sum(
            any(h.after == row.number and h.key == "levelled" for h in sheet.holds) for sheet, row in rows)


@needs_poppler
def test_whole_job_has_all_least_readings_in_large_print() -> None:
    for answer in (printed.demo(), printed.grand()):
        large = sorted(int(word) for size, words in printed.sized(whole_job_pdf(answer)) if size == 72
                       for word in words.split() if word.isdecimal())
        assert large == sorted(c.least_um for sheet in sheets_of(answer) for c in sheet.checks)


@needs_poppler
def test_what_may_not_start_is_told_and_in_no_step() -> None:
    answer = printed.demo()
    found = said(whole_job_pdf(answer))
    stopped = [panel for panel in answer.plan.panels if not panel.all_go]
    for panel in stopped:
        for zone in panel.zones:
            assert zone.verdict == "go" or f"{panel.name}, {zone.name}: {zone.verdict}" in found
        assert panel.name not in found[found.index("Before anything is worked"):]
    assert all(line.what in found for line in answer.labour if line.group != "plan")


# Materials.


@needs_poppler
def test_materials_are_a_tick_list_of_all_lines() -> None:
    found = said(materials_pdf(printed.demo()))
    at = -1
    for line in printed.demo().materials:
        amount = wording.quantity_words(line.quantity)
        unit = line.unit.removesuffix("s") if amount == "1" else line.unit
        here = found.index(f"{line.item} {amount} {unit}", at + 1)
        assert here > at
        at = here
        assert plain(line.note) in found
    nothing = printed.answer(printed.panel(printed.zone()))
    assert "Nothing is used up." in said(materials_pdf(nothing))


# Film record.


@needs_poppler
def test_card_has_every_zone_and_rounds_so_that_no_film_looks_thicker() -> None:
    answer = printed.demo()
    found = said(record_card_pdf(answer))
    assert "Keep this card in the instrument." in found
    for panel in answer.plan.panels:
        for zone in panel.zones:
            taken = wording.removal_words(zone.removal_um) if zone.removal_um > 0 else "nothing"
            row = (f"{zone.name} {int(zone.film_mean_um)} measured, {zone.readings} readings {int(zone.film_low_um)} "
                   f"{taken} {int(zone.film_left_um)}")
            assert row in found


@needs_poppler
def test_card_takes_what_was_read_and_what_is_left_of_services() -> None:
    answer = printed.demo()
    assert answer.risk is not None
    name, zone = answer.plan.panels[0].name, answer.plan.panels[0].zones[0]
    risk = next(z for z in answer.risk.zones if (z.panel, z.zone) == (name, zone.name))
    assert risk.services is not None
    low, high = risk.services.after
    words = str(low) if low == high else f"{low} to {high}"
    found = said(record_card_pdf(answer, after={(name, zone.name): 371.9}))
    assert f"{int(zone.film_left_um)} 371 {words}" in found
    assert "three at most; not a promise" in found


@needs_poppler
def test_earlier_services_and_guessed_film_are_told() -> None:
    bare = {"name": "field", "area_m2": 0.5, "defects": [{"kind": "fine_scratch", "wish": "leave"}]}
    answer = printed.answer(
        printed.panel(bare, name="lid"), instrument={"kind": "grand", "year": 1988, "id": "A 17", "overcoated": True},
        services=[{"date": "2019-05", "what": "levelled", "by": "another shop",
                   "zones": [{"panel": "lid", "zone": "field", "removal_um": 41.2, "film_um": 399.7}]}])
    found = said(record_card_pdf(answer))
    assert "2019-05 levelled lid, field: took 42, left 399 another shop" in found
    assert "350 guessed from the usual film" in found
    assert "Grand 1988, number A 17." in found
    assert "once coated over" in found


# Hand-over.


@needs_poppler
def test_hand_over_says_what_was_done_and_what_was_not() -> None:
    found = said(hand_over_pdf(printed.demo()))
    assert ("main lid, top 2 scratches, 140 mm: sanded out just there, polished; nick, 4 mm: filled with resin, "
            "levelled, polished; dull area: polished out with the whole face; swirls: polished out with the whole face "
            "polish build-up: cleaned off, nothing else; 2 fine scratches, 40 mm: left as it is, as agreed or not seen"
            ) in found
    assert "arm, treble nothing all of it: refer, " in found
    assert "Otherwise than written above:" in found
    assert "received by date" in found


def soft() -> Answer:
    peel = printed.zone(printed.PEEL | {"wish": "soften"})
    return printed.answer(printed.panel(peel, name="lid"), customer="C. Example")


@needs_poppler
def test_hand_over_names_what_is_softened_only_and_whom_it_is_for() -> None:
    found = said(hand_over_pdf(soft()))
    assert "For C. Example." in found
    assert "orange peel: softened, not gone (sanded out with the whole face, polished)" in found


@needs_poppler
def test_care_speaks_of_fills_only_where_there_are_any() -> None:
    for page in (hand_over_pdf, inspection_pdf):
        assert "fresh fill for 30 days" in said(page(printed.demo()))
        assert "fresh fill" not in said(page(soft()))
        assert "No silicone" in said(page(soft()))


# Inspection.


@needs_poppler
def test_blank_form_has_what_was_agreed_of_every_panel() -> None:
    found = said(inspection_pdf(printed.demo()))
    for panel in printed.demo().job.panels:
        assert f"{panel.name} Agreed: " in found
    assert "Agreed: detail, from 1 m: surface seen from about 1 m" in found
    assert "f: 2 fine scratches, 40 mm, front edge: stays as it is" in found
    assert "a: lifted film, field: not worked on" in found
    assert "Polyester reads at most 95.4 at 20 degrees and 97.3 at 60 degrees" in found
    assert "5 GU or less apart is accepted" in found
    assert len(re.findall(r"20 / 60 1 / 2 / 3 / 4 / 5", found)) == 7
    assert found.count("not accepted, because") == 7


@needs_poppler
def test_filled_form_prints_figures_verdict_and_signature() -> None:
    first = read_found({
        "panel": "main lid, top", "gloss": {"angle_deg": 20.0, "face_gu": 86.0, "neighbour_gu": 88.5},
        "image_rating": 4, "photos_after": [f"after-{k}.jpg" for k in range(14)], "note": "looked at twice",
        "signed": "the finisher"})
    second = Found(panel="front lid flap", image_rating=4)
    found = said(inspection_pdf(printed.demo(), found=(first, second)))
    assert "20 86.0 88.5 -2.5 4 " in found
    assert "ACCEPTED: 86.0 GU at 20 degrees, 2.5 GU under its neighbour; 5 or less is accepted." in found
    assert "after-11.jpg, and 2 more" in found
    assert "Note: looked at twice" in found
    assert "Signed: the finisher." in found
    assert "NOT INSPECTED: gloss not read yet." in found
    assert found.count("not accepted, because") == 6


def test_a_finding_on_a_strange_panel_is_refused() -> None:
    with pytest.raises(UnknownName, match="panel is 'lid'; choose one of: music desk"):
        inspection_pdf(printed.worked("satin"), found=(Found(panel="lid"),))
