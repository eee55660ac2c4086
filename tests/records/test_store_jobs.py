"""Jobs in the store: kept, found, copied, archived, undone, on both databases."""

from __future__ import annotations

import copy
import re

import pytest
from store_examples import HOSTILE, at, job, readings, with_reading

from finishplan.errors import BadValue, FinishplanError, UnknownName
from finishplan.records import faults
from finishplan.records.kept import STATES
from finishplan.records.store import Store
from finishplan.survey.job import read_job_dict


def test_started_job_is_read_back_as_it_was_given(store: Store) -> None:
    body = job(customer="Ms Example", instrument={"kind": "grand", "year": 1991})
    made = store.start(body, "Ana", at())
    again = store.open(made.id)
    assert again == made
    assert (again.body, again.revision, again.title, again.state) == (body, 1, "Parlour grand", "survey")
    assert (again.who, again.at, again.wording) == ("Ana", at(), "started 'Parlour grand'")
    assert again.is_head and not again.archived and again.undo is None and again.redo is None


def test_each_save_is_one_revision_with_wording_person_and_moment(store: Store) -> None:
    first = store.start(job(), "Ana", at())
    second = store.change(first.id, with_reading(412, spot=1), "Ben", at(1))
    third = store.save(first.id, {**second.body, "due": "2026-04-01"}, second.revision, "Ana", at(2))
    told = [(line.number, line.kind, line.wording, line.who, line.at) for line in store.history(first.id)]
    assert told == [
        (3, "edit", "due set to '2026-04-01'", "Ana", at(2)),
        (2, "edit", "panel 'lid', zone 'field': reading 412 um (ultrasonic, spot 1) added", "Ben", at(1)),
        (1, "edit", "started 'Parlour grand'", "Ana", at()),
    ]
    assert store.open(first.id).revision == third.revision == 3
    assert [line.is_head for line in store.history(first.id)] == [True, False, False]
    assert [line.number for line in store.history(first.id, limit=1, before=3)] == [2]


def test_own_wording_stands_instead(store: Store) -> None:
    made = store.start(job(), "Ana", at(), "imported from lid.json")
    saved = store.save(made.id, job("Other"), 1, "Ana", at(1), "typed the customer's name")
    assert (made.wording, saved.wording) == ("imported from lid.json", "typed the customer's name")


def test_saving_what_stands_adds_nothing(store: Store) -> None:
    made = store.start(job(), "Ana", at())
    assert store.save(made.id, copy.deepcopy(made.body), 1, "Ana", at(5)) == made
    assert store.change(made.id, lambda body: body, "Ana", at(5)) == made
    assert len(store.history(made.id)) == 1


def test_undo_and_redo_walk_the_edits(store: Store) -> None:
    made = store.start(job("a"), "Ana", at())
    for number, title in enumerate("bc", start=1):
        store.save(made.id, job(title), number, "Ana", at(number))
    back = store.undo(made.id, 3, "Ben", at(3))
    assert (back.title, back.undo, back.redo) == ("b", "title 'a' became 'b'", "title 'b' became 'c'")
    assert (back.revision, back.wording, back.who) == (4, "undid: title 'b' became 'c'", "Ben")
    first = store.undo(made.id, 4, "Ben", at(4))
    assert (first.title, first.undo, first.redo) == ("a", None, "title 'a' became 'b'")
    forth = store.redo(made.id, 5, "Ben", at(5))
    assert (forth.title, forth.wording, forth.redo) == ("b", "redid: title 'a' became 'b'", "title 'b' became 'c'")
    last = store.redo(made.id, 6, "Ben", at(6))
    assert (last.title, last.undo, last.redo) == ("c", "title 'b' became 'c'", None)
    assert [store.open_revision(made.id, number).title for number in range(1, 8)] == list("abcbabc")


def test_an_edit_after_undo_goes_on_from_there(store: Store) -> None:
    made = store.start(job("a"), "Ana", at())
    store.save(made.id, job("b"), 1, "Ana", at(1))
    store.undo(made.id, 2, "Ana", at(2))
    edited = store.save(made.id, job("c"), 3, "Ana", at(3))
    assert edited.redo is None
    with pytest.raises(faults.NothingToRedo, match=r"nothing to redo: no edit of 'c' was undone since the last"):
        store.redo(made.id, edited.revision, "Ana", at(4))
    assert store.undo(made.id, edited.revision, "Ana", at(5)).title == "a"
    assert store.open_revision(made.id, 2).title == "b"


def test_nothing_to_undo_is_said(store: Store) -> None:
    made = store.start(job(), "Ana", at())
    with pytest.raises(faults.NothingToUndo, match=r"^nothing to undo: 'Parlour grand' stands as it was started$"):
        store.undo(made.id, 1, "Ana", at())


def test_going_back_to_an_old_revision_can_be_undone(store: Store) -> None:
    made = store.start(job("a"), "Ana", at())
    store.save(made.id, job("b"), 1, "Ana", at(1))
    store.save(made.id, job("c"), 2, "Ana", at(2))
    back = store.go_back(made.id, 1, 3, "Ana", at(3))
    assert (back.title, back.wording) == ("a", "went back to revision 1: started 'a'")
    assert store.undo(made.id, back.revision, "Ana", at(4)).title == "c"


def test_a_clock_set_back_changes_nothing_but_the_moments(store: Store) -> None:
    made = store.start(job("a"), "Ana", at(60))
    store.save(made.id, job("b"), 1, "Ana", at(-600))
    saved = store.save(made.id, job("c"), 2, "Ana", at(-900))
    assert (saved.revision, saved.title, store.open(made.id).title) == (3, "c", "c")
    assert [(line.number, line.at) for line in store.history(made.id)] == [(3, at(-900)), (2, at(-600)), (1, at(60))]
    assert store.undo(made.id, 3, "Ana", at(0)).title == "b"


def test_compare_tells_what_changed_in_words(store: Store) -> None:
    made = store.start(job(), "Ana", at())
    store.change(made.id, with_reading(412), "Ana", at(1))
    store.change(made.id, with_reading(398), "Ana", at(2))
    assert store.compare(made.id, 1, 3) == ("panel 'lid', zone 'field': readings 412, 398 um (ultrasonic) added",)
    assert store.compare(made.id, 3, 1) == ("panel 'lid', zone 'field': readings 412, 398 um (ultrasonic) taken out",)
    assert store.compare(made.id, 2, 2) == ()
    with pytest.raises(faults.NoSuchRevision, match=r"^this job has no revision 9; choose one of its history$"):
        store.compare(made.id, 1, 9)


def test_state_is_told_in_the_history_and_passed_by_undo(store: Store) -> None:
    made = store.start(job("a"), "Ana", at())
    store.save(made.id, job("b"), 1, "Ana", at(1))
    moved = store.set_state(made.id, "at the bench", "Ben", at(2))
    assert (moved.state, moved.wording, moved.title) == ("at the bench", "now at the bench", "b")
    assert store.set_state(made.id, "at the bench", "Ben", at(3)).revision == moved.revision
    undone = store.undo(made.id, moved.revision, "Ana", at(4))
    assert (undone.title, undone.state) == ("a", "at the bench")
    planned = store.set_state(made.id, "planned", "Ben", at(5))
    assert planned.redo == "title 'a' became 'b'"
    assert store.redo(made.id, planned.revision, "Ana", at(6)).title == "b"
    with pytest.raises(UnknownName, match=re.escape(f"choose one of: {', '.join(STATES)}")):
        store.set_state(made.id, "finished", "Ana", at())


def test_a_state_told_between_reading_and_saving_is_no_conflict(store: Store) -> None:
    made = store.start(job("a"), "Ana", at())
    store.set_state(made.id, "planned", "Ben", at(1))
    assert store.save(made.id, job("b"), made.revision, "Ana", at(2)).title == "b"


def test_archive_hides_and_brings_back(store: Store) -> None:
    made = store.start(job(), "Ana", at())
    assert store.archive(made.id, "Ana", at(1)).archived
    assert store.jobs().total == 0
    assert [row.id for row in store.jobs(archived=True).rows] == [made.id]
    assert store.save(made.id, job("typed all the same"), 1, "Ana", at(2)).title == "typed all the same"
    assert not store.bring_back(made.id, "Ben", at(3)).archived
    assert store.history(made.id)[0].wording == "brought back from the archive"
    assert store.jobs().total == 1


def test_copy_starts_anew_from_any_revision(store: Store) -> None:
    made = store.start(job("a"), "Ana", at())
    store.change(made.id, with_reading(412), "Ana", at(1))
    store.set_state(made.id, "done", "Ana", at(2))
    copied = store.copy(made.id, "Ben", at(3))
    assert (copied.title, copied.state, copied.revision) == ("a (copy)", "survey", 1)
    assert copied.wording == "copied from 'a', revision 3"
    assert len(readings(copied.body)) == 1
    old = store.copy(made.id, "Ben", at(4), "from the start", number=1)
    assert (old.title, readings(old.body)) == ("from the start", [])
    assert store.open(made.id).title == "a"
    long = store.start(job("x" * 200), "Ana", at(5))
    assert store.copy(long.id, "Ana", at(6)).title == "x" * 187 + "... (copy)", "a cut says so"


def test_jobs_are_found_by_words_states_and_page(store: Store) -> None:
    given = [("Grand lid", "M\u00fcller"), ("Upright", "Strau\u00df 100%"), ("Grand rim", None)]
    for number, (title, customer) in enumerate(given):
        instrument = {"kind": "piano", "year": 1990 + number}
        store.start(job(title, customer=customer, instrument=instrument), "Ana", at(number))
    assert [row.title for row in store.jobs().rows] == ["Grand rim", "Upright", "Grand lid"]
    assert [row.title for row in store.jobs("GRAND").rows] == ["Grand rim", "Grand lid"]
    assert [row.title for row in store.jobs("lid grand m\u00dcLLER").rows] == ["Grand lid"]
    assert [row.title for row in store.jobs("STRAUSS").rows] == ["Upright"]
    assert [row.title for row in store.jobs("100%").rows] == ["Upright"]
    assert store.jobs("%").total == 1 and store.jobs("_").total == 0
    assert [row.title for row in store.jobs("1992").rows] == ["Grand rim"]
    page = store.jobs(limit=1, offset=1)
    assert ([row.title for row in page.rows], page.total) == (["Upright"], 3)
    store.set_state(page.rows[0].id, "planned", "Ana", at(9))
    assert [row.title for row in store.jobs(states=["planned", "done"]).rows] == ["Upright"]
    assert store.jobs().rows[0].title == "Upright", "last changed first"
    store.save(page.rows[0].id, job("Spinet"), 1, "Ana", at(10))
    assert (store.jobs("spinet").total, store.jobs("upright").total) == (1, 0)


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE.keys())
def test_text_of_people_comes_back_as_it_was(store: Store, text: str) -> None:
    body = job(text, customer=text, view_note=text)
    made = store.start(body, text, at(), text)
    assert store.open(made.id).body == body
    store.change(made.id, with_reading(400, note=text), text, at(1))
    saved = store.save(made.id, {**body, "title": f"{text}!"}, 2, text, at(2))
    assert saved.body["title"] == f"{text}!"
    assert store.jobs(text).total == 1
    for line in store.history(made.id):
        assert "\n" not in line.wording and "\0" not in line.wording
        line.wording.encode()
    assert len(store.jobs().rows) == 1


@pytest.mark.parametrize(("body", "text"), [
    ({"format": "finishplan-job", "version": 1, "title": "x"}, "panels is missing; add 'panels'"),
    (job(colour="black"), "unknown key 'colour'"),
    (job(customer=float("nan")), "customer is nan; give text in quotes"),
    (job("a\ud800b"), r"title is 'a\ud800b'"),
    (job("a\0b"), r"title is 'a\x00b'"),
    ([], "this is not a job file"),
])
def test_a_bad_job_is_refused_before_anything_is_written(store: Store, body: object, text: str) -> None:
    made = store.start(job(), "Ana", at())
    with pytest.raises(FinishplanError, match=re.escape(text)):
        store.start(body, "Ana", at())  # type: ignore[arg-type]
    with pytest.raises(FinishplanError, match=re.escape(text)):
        store.save(made.id, body, 1, "Ana", at())  # type: ignore[arg-type]
    with pytest.raises(FinishplanError, match=re.escape(text)):
        store.change(made.id, lambda _: body, "Ana", at())  # type: ignore[arg-type, return-value]
    assert store.open(made.id) == made and store.jobs().total == 1


def test_a_fault_inside_an_edit_leaves_nothing(store: Store) -> None:
    made = store.start(job(), "Ana", at())

    def breaks(body: dict[str, object]) -> dict[str, object]:
        body["title"] = "half done"
        raise KeyError("zone")

    with pytest.raises(KeyError):
        store.change(made.id, breaks, "Ana", at(1))
    assert store.open(made.id) == made
    assert store.change(made.id, with_reading(400), "Ana", at(2)).revision == 2


def test_nobody_and_no_zone_are_refused(store: Store) -> None:
    with pytest.raises(BadValue, match="who is ' '; give the name of the person"):
        store.start(job(), " ", at())
    with pytest.raises(BadValue, match="moment is '2026-03-02T08:00:00'; give it with its time zone"):
        store.start(job(), "Ana", at().replace(tzinfo=None))
    assert store.jobs().total == 0


def test_a_job_that_is_not_here_is_said(store: Store) -> None:
    for ask in (store.open, store.history, lambda number: store.save(number, job(), 1, "Ana", at())):
        with pytest.raises(faults.NoSuchDocument, match="no job 'nowhere' is kept here; find it on the Jobs page"):
            ask("nowhere")


def test_the_shop_has_revisions_too(store: Store) -> None:
    shop = store.shop("Ana", at())
    assert (shop.id, shop.kind, shop.title) == ("shop", "shop", "our shop")
    assert store.shop("Ben", at(1)) == shop
    edited = store.save(shop.id, {**shop.body, "name": "Our bench", "tax_share": 0.2}, shop.revision, "Ana", at(2))
    assert (edited.title, edited.wording) == ("Our bench", "name set to 'Our bench', and 1 more")
    assert store.undo(shop.id, edited.revision, "Ana", at(3)).body == shop.body
    with pytest.raises(UnknownName, match="step 'P17': step is 'P17'"):
        store.save(shop.id, {**shop.body, "steps": [{"step": "P17", "change_min": 2.0}]}, 3, "Ana", at(4))
    assert store.jobs().total == 0, "the shop is no job"


def test_names_and_wording_are_one_line_each(store: Store) -> None:
    made = store.start(job(), "Ana\0\ud800", at(), "typed\n\0it \ud800 in")
    assert (made.who, made.wording) == ("Ana ?", "typed it ? in")
    assert len(store.save(made.id, job("b"), 1, "Ana" * 100, at(), "x" * 900).wording) == 200


def test_settings_are_remembered(store: Store) -> None:
    assert store.setting("printer") is None
    store.remember("printer", "A4")
    store.remember("printer", "Letter")
    assert store.setting("printer") == "Letter"


def test_the_demo_job_is_kept_whole(lite: Store) -> None:
    from finishplan.records.files import demo_job_path, read_file

    if not demo_job_path().is_file():
        pytest.skip("the demo job is not here yet")
    body = read_file(demo_job_path())
    made = lite.start(body, "Ana", at())
    assert lite.open(made.id).body == body
    assert read_job_dict(lite.open(made.id).body) == read_job_dict(body)
