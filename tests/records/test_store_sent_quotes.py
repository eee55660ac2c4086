"""Sent quotes: kept whole, numbered, opened again byte by byte, never changed, carried along by a backup."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from finishplan.errors import BadFile
from finishplan.office.quote import Quote
from finishplan.office.quote_tables import as_data
from finishplan.office.quote_work import work_up_quote
from finishplan.paper.quote_pdf import quote_pdf
from finishplan.records import where
from finishplan.records.backup import write_backup
from finishplan.records.faults import NoSuchDocument, StandsAsSent
from finishplan.records.files import demo_job_path, demo_shop_path, read_file
from finishplan.records.restore import restore
from finishplan.records.sent_quotes import NumberTaken, Sent, next_number, open_sent, read_sent, send, sent_of
from finishplan.records.store import Store, open_store
from finishplan.shop.profile import apply_shop, default_profile
from finishplan.survey.job import read_job_dict

AT = datetime(2026, 6, 1, 9, tzinfo=UTC)
BODY: dict[str, Any] = read_file(demo_job_path())
PROFILE = apply_shop(default_profile(), read_file(demo_shop_path()))


def make(number: str, revision: int) -> Quote:
    return work_up_quote(read_job_dict(BODY), PROFILE, date(2026, 6, 1), number=number, revision=revision)[0]


@pytest.fixture
def store(tmp_path: Path) -> Store:
    found = open_store(where.find(str(tmp_path / "data"), None, {}), AT)
    yield found
    found.close()


def sent(store: Store, job_id: str, hours: int = 0) -> Sent:
    return send(store, job_id, make, quote_pdf, (3, 2), "A4", "the owner", AT + timedelta(hours=hours))


def test_a_sent_quote_is_kept_whole_and_opens_as_it_was(store: Store) -> None:
    job = store.start(BODY, "me", AT)
    one = sent(store, job.id)
    quote = make("1", 1)
    assert one.pdf == quote_pdf(quote, "A4") and one.body.data == as_data(quote, True)
    assert (one.body.number, one.body.revision, one.body.job_revision, one.body.shop_revision) == (1, 1, 3, 2)
    store.change(job.id, lambda body: {**body, "title": "Another"}, "me", AT)
    again = open_sent(store, one.id)
    assert again.pdf == one.pdf and again.xlsx == one.xlsx and again.body.title == BODY["title"]
    assert (again.who, again.at) == ("the owner", AT)


def test_jobs_are_numbered_and_a_job_s_next_one_is_a_revision(store: Store) -> None:
    first, second = store.start(BODY, "me", AT), store.start(BODY, "me", AT)
    found = [sent(store, job.id, k).body for k, job in enumerate((first, second, first, first))]
    assert [(body.number, body.revision) for body in found] == [(1, 1), (2, 1), (1, 2), (1, 3)]
    assert [one.body.revision for one in sent_of(store, first.id)] == [3, 2, 1]
    assert next_number(store, second.id) == (2, 2)
    assert {row.id for row in store.jobs().rows} == {first.id, second.id}, "quotes are no jobs"


def test_a_sent_quote_cannot_be_changed(store: Store) -> None:
    one = sent(store, store.start(BODY, "me", AT).id)
    for attempt in (
        lambda: store.change(one.id, lambda body: {**body, "total": "0"}, "me", AT),
        lambda: store.save(one.id, {**one.body.model_dump(), "total": "0"}, 1, "me", AT),
        lambda: store.archive(one.id, "me", AT), lambda: store.undo(one.id, 1, "me", AT),
    ):
        with pytest.raises(StandsAsSent, match="stays as it was sent"):
            attempt()
    assert open_sent(store, one.id) == one


def test_two_who_send_at_once_do_not_get_one_number(store: Store) -> None:
    first, second = store.start(BODY, "me", AT), store.start(BODY, "me", AT)

    def meanwhile(number: str, revision: int) -> Quote:
        sent(store, second.id)
        return make(number, revision)

    with pytest.raises(NumberTaken, match="send again"):
        send(store, first.id, meanwhile, quote_pdf, (1, 1), "A4", "me", AT)
    assert sent_of(store, first.id) == ()
    assert sent(store, first.id).body.number == 2


def test_a_quote_of_no_job_is_refused_and_what_is_none_is_told(store: Store) -> None:
    with pytest.raises(NoSuchDocument, match="no job"):
        sent(store, "nothing")
    for raw, said in (({"format": "finishplan-job"}, "this is no sent quote"),
                      ({"format": "finishplan-sent-quote"}, "sent quote: ")):
        with pytest.raises(BadFile, match=said):
            read_sent(raw)


def test_a_backup_brings_sent_quotes_back(store: Store, tmp_path: Path) -> None:
    job = store.start(BODY, "me", AT)
    one = sent(store, job.id)
    file = tmp_path / "backup.zip"
    write_backup(store, file, AT, photos=False)
    two = sent(store, job.id, 1)
    restore(store, file, AT)
    assert sent_of(store, job.id) == (one,) and two.id != one.id
