"""The quote: its sums recalculated in fractions, the same numbers everywhere, and what is refused."""

from __future__ import annotations

import csv
import io
import json
import math
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from made_jobs import MONDAY, START, defect, demo_job, demo_shop, filled_job, job, panel, shop, zone

from finishplan import reference
from finishplan.errors import BadValue, FinishplanError, UnknownKey, UnknownName
from finishplan.office.options import options
from finishplan.office.quote import Quote, make_quote, option_days
from finishplan.office.quote_money import Line, Totals, money_words, percent_words, totals
from finishplan.office.quote_price import chance_over, safe_factor
from finishplan.office.quote_tables import as_csv, as_data, as_xlsx, labour_rows, line_rows
from finishplan.office.quote_text import quote_text
from finishplan.office.quote_words import TEXT_USES, VIEW_WORDS, standing_texts
from finishplan.office.terms import LINE_GROUPS, QuoteTerms, Tax, read_figures, read_terms, sourced
from finishplan.shop.profile import Profile
from finishplan.survey.choices import VIEWS
from finishplan.survey.job import Job

CENT = Fraction(1, 100)
TERMS = {"taxes": [{"name": "VAT", "percent": 19.0}], "deposit_percent": 30.0, "travel": 40.0}


def quoted(of: Job, profile: Profile, raw: dict[str, Any] | None = None, **more: Any) -> Quote:
    terms = read_terms(TERMS if raw is None else raw, profile.file)
    draws = more.pop("draws", 0)
    return make_quote(of, profile, terms, options(of, profile, draws=draws), MONDAY, **more)


QUOTE = quoted(demo_job(), demo_shop(), number="7")


def half_up(value: Fraction) -> Fraction:
    """An own rounding to cents in exact fractions, half away from zero."""
    sign = -1 if value < 0 else 1
    return sign * Fraction(math.floor(abs(value) / CENT + Fraction(1, 2))) * CENT


amounts = st.decimals(0, 5000, places=2)
lines_of = st.lists(st.tuples(st.sampled_from([g for g in LINE_GROUPS if g != "minimum"]), amounts), max_size=8)
percents = st.sampled_from((0.0, 2.5, 7.7, 8.875, 19.0, 20.0, 25.0))
some_groups = st.lists(st.sampled_from(list(LINE_GROUPS)), max_size=3, unique=True)
taxes_of = st.lists(st.tuples(percents, some_groups), max_size=3)


def summed(rows: list[tuple[str, Decimal]], terms: QuoteTerms, least: Decimal) -> Totals:
    return totals([Line(group, group, amount) for group, amount in rows], terms, "EUR", least)


@given(lines_of, taxes_of, percents, percents, amounts, st.booleans())
def test_the_sums_are_those_of_a_recalculation_in_fractions(
    rows: list[tuple[str, Decimal]], taxes: list[tuple[float, list[str]]], discount: float, deposit: float,
    least: Decimal, included: bool,
) -> None:
    terms = QuoteTerms(
        taxes=tuple(Tax(name=f"t{k}", percent=p, groups=tuple(g)) for k, (p, g) in enumerate(taxes)),
        discount_percent=discount, deposit_percent=deposit, prices_include_tax=included)
    found = summed(rows, terms, least)
    left = {g: sum((Fraction(a) for h, a in rows if h == g), Fraction(0)) for g in LINE_GROUPS}
    off = {g: half_up(left[g] * Fraction(str(discount)) / 100) if g in ("labour", "materials") else Fraction(0)
           for g in left}
    left = {g: left[g] - off[g] for g in left}
    left["minimum"] += max(Fraction(0), Fraction(least) - sum(left.values()))
    on = {g: sum((Fraction(str(p)) for p, only in taxes if not only or g in only), Fraction(0)) / 100 for g in left}
    bases = {g: left[g] / (1 + on[g]) if included else left[g] for g in left}
    worth = [
        half_up(sum((bases[g] for g in left if not only or g in only), Fraction(0)) * Fraction(str(p)) / 100)
        for p, only in taxes]
    total = sum(left.values()) + (0 if included else sum(worth))
    assert Fraction(found.discount) == sum(off.values())
    assert [Fraction(tax.amount) for tax in found.taxes] == worth
    assert Fraction(found.total) == total
    assert Fraction(found.net) == total - sum(worth)
    assert Fraction(found.deposit) == half_up(total * Fraction(str(deposit)) / 100)
    assert found.deposit + found.balance == found.total
    assert found.after_discount >= least


@given(lines_of, percents)
def test_one_tax_included_in_a_total_is_the_tax_that_was_added_to_reach_it(
    rows: list[tuple[str, Decimal]], percent: float
) -> None:
    tax = (Tax(name="t", percent=percent),)
    added = summed(rows, QuoteTerms(taxes=tax), Decimal(0))
    held = summed([("labour", added.total)], QuoteTerms(taxes=tax, prices_include_tax=True), Decimal(0))
    assert (held.total, held.tax, held.net) == (added.total, added.tax, added.net)


def test_a_customer_who_adds_up_the_page_gets_the_total() -> None:
    for option in QUOTE.options:
        assert option.totals is not None
        sums = option.totals
        assert sum(line.amount for line in sums.lines) - sums.discount + sums.minimum + sums.tax == sums.total
        assert all(line.amount == round(line.amount, 2) for line in sums.lines)


def test_discount_is_on_our_work_and_a_minimum_charge_is_reached() -> None:
    terms = QuoteTerms(discount_percent=10.0)
    found = summed([("labour", Decimal("100.05")), ("movers", Decimal("50.00"))], terms, Decimal(200))
    assert found.discount == Decimal("10.01")
    assert found.minimum == Decimal("59.96")
    assert found.total == Decimal("200.00")


def test_the_safe_factor_is_the_lognormal_quantile_of_a_statistics_library() -> None:
    from scipy.stats import lognorm

    for share, cv in ((0.8, 0.45), (0.8, 0.25), (0.9, 0.3), (0.5, 0.45)):
        spread = math.sqrt(math.log(1 + cv * cv))
        assert safe_factor(share, cv) == pytest.approx(lognorm.ppf(share, spread), rel=1e-12)
        assert chance_over(safe_factor(share, cv), cv) == pytest.approx(1 - share, abs=1e-12)
        assert lognorm.std(spread) / lognorm.mean(spread) == pytest.approx(cv)
    assert (chance_over(-1.0, 0.45), chance_over(0.0, 0.45)) == (1.0, 1.0)


def test_the_price_is_safe_cost_over_one_minus_margin() -> None:
    made = job(panel("lid", zone(defects=[defect("swirls")])))
    found = quoted(made, shop(), {"margin_percent": 20.0}).main
    assert found.totals is not None
    assert found.owner is not None
    labour = found.option.minutes * 60.0 / 60.0
    assert float(found.owner.labour_cost) == pytest.approx(labour)
    assert float(found.totals.total) == pytest.approx(labour * safe_factor(0.8, 0.45) / 0.8, abs=0.02)
    assert float(found.owner.margin_percent or 0) == pytest.approx(100 * (1 - labour / float(found.totals.net)))
    assert found.owner.loss_chance == pytest.approx(chance_over(float(found.totals.net) / labour, 0.45))
    assert found.owner.loss_from == "lognormal"


def test_without_margin_one_job_in_five_loses() -> None:
    made = job(panel("lid", zone(defects=[defect("swirls")])))
    owner = quoted(made, shop(), {"margin_percent": 0.0}).main.owner
    assert owner is not None
    assert owner.loss_chance == pytest.approx(0.2, abs=0.001)
    drawn = quoted(made, shop(), {"margin_percent": 0.0}, draws=4000).main.owner
    assert drawn is not None
    assert drawn.loss_from == "risk draws"
    assert 0.1 < drawn.loss_chance < 0.25


def test_material_is_priced_by_what_is_used_of_a_pack_and_the_rest_is_named() -> None:
    made = job(panel("lid", zone(defects=[defect("ripple", depth_um=18.0)])))
    profile = shop(prices={"sheet P800": {"pack": 10, "price": 9.5}})
    quote = quoted(made, profile, {})
    used = next(line.quantity for line in quote.main.option.materials if line.item == "sheet P800")
    assert quote.main.owner is not None
    assert float(quote.main.owner.materials_cost) == pytest.approx(used / 10 * 9.5)
    assert "sheet P1500" in quote.notes[0]


def test_a_price_before_a_test_spot_is_an_estimate_and_after_it_a_quotation() -> None:
    lid = panel("lid", zone(defects=[defect("scratch", depth_um=12.0)]))
    assert quoted(job(lid), shop()).kind == "estimate"
    spot = {"panel": "lid", "zone": "field", "defect": 0, "steps": [{"step": "P1500", "minutes": 4, "cleared": True}]}
    tested = quoted(job(lid, test_spot=spot), shop())
    assert (tested.kind, tested.why_estimate) == ("quotation", ())
    assert tested.main.owner is not None
    assert tested.main.owner.safe_factor == pytest.approx(safe_factor(0.8, 0.25))
    unknown = quoted(job(lid, test_spot=spot, finish_id={"result": "unknown"}), shop())
    assert unknown.kind == "estimate"
    assert "has not been shown to be polyester" in unknown.why_estimate[0]


def test_storage_counts_the_days_that_are_not_free() -> None:
    made = filled_job()
    planned = options(made, shop(), draws=0)
    days = option_days(planned, shop(), START)
    assert set(days) == {o.name for o in planned if o.does_anything}
    terms = read_terms({"storage_per_day": 4.0, "storage_free_days": 3}, shop().file)
    quote = make_quote(made, shop(), terms, planned, MONDAY, days=days)
    kept = days["repair what shows"].jobs[0].calendar_days - 3
    assert quote.main.totals is not None
    assert [line.amount for line in quote.main.totals.lines if line.group == "storage"] == [Decimal(4 * kept)]


def test_lines_with_zero_default_appear_only_when_set() -> None:
    groups = {line.group for line in quoted(filled_job(), shop(), {}).main.totals.lines}  # type: ignore[union-attr]
    assert groups == {"labour"}
    more = quoted(filled_job(), shop(), {"movers": 300.0, "tuning": 120.0, "travel": 25.5})
    assert {line.group: line.amount for line in more.main.totals.lines if line.group != "labour"} == {  # type: ignore[union-attr]
        "travel": Decimal("25.50"), "movers": Decimal(300), "tuning": Decimal(120)}


def test_a_visit_is_charged_its_way_and_its_minimum() -> None:
    profile = shop(home={"travel": 30.0, "minimum_charge": 5000.0})
    made = job(panel("lid", zone(defects=[defect("swirls")])), site={"kind": "home"})
    sums = quoted(made, profile, {}).main.totals
    assert sums is not None
    visits = math.ceil(quoted(made, profile, {}).main.option.minutes / 180.0)
    assert [line.amount for line in sums.lines if line.group == "travel"] == [Decimal(30 * visits)]
    assert sums.total == 5000 * visits


def test_film_is_stated_as_now_counted_taken_and_left_in_services() -> None:
    text = {s.film.panel: s.text for s in quoted(filled_job(), shop()).film}["lid"]
    assert text.startswith("lid: film now about 420 um, we count on ")
    assert "; this work takes about " in text
    assert "where it is spotted or filled up to " in text
    assert text.endswith(" after")


def test_the_sand_through_clause_informs_and_local_law_stays_whatever_the_shop_writes() -> None:
    texts = {clause.id: clause.text for clause in QUOTE.texts}
    assert "It takes away none of your rights." in texts["sand_through"]
    own = quoted(demo_job(), demo_shop(), {"sand_through_text": "Ours (own).", "shop_text": "No pets."})
    assert {c.id: c.text for c in own.texts}["sand_through"] == "Ours (own)."
    assert {c.id: c.text for c in own.texts}["local_law"] == texts["local_law"]
    assert {c.id: c.text for c in own.texts}["shop"] == "No pets."


def test_every_standing_text_has_a_known_use_and_every_view_its_words() -> None:
    assert {clause.use for clause in standing_texts().values()} == set(TEXT_USES)
    assert set(VIEW_WORDS) == set(VIEWS)
    assert len(standing_texts()) == len(reference.rows("quote_terms"))


@pytest.mark.parametrize("raw", [TERMS, {"currency": "JPY", "locale": "ja_JP"}, {"currency": "CHF", "locale": "de_CH"}])
def test_the_text_keeps_to_eighty_columns_and_two_pages(raw: dict[str, Any]) -> None:
    for made in (demo_job(), filled_job()):
        text = quote_text(quoted(made, demo_shop(), raw))
        assert max(len(line) for line in text.splitlines()) <= 80
        assert text.count("page 1 of 2") == text.count("page 2 of 2") == 1


def test_text_spreadsheet_csv_and_json_carry_the_same_numbers() -> None:
    data = json.loads(json.dumps(as_data(QUOTE)))
    sheet = openpyxl.load_workbook(io.BytesIO(as_xlsx(QUOTE)))["Lines"]
    cells = list(sheet.iter_rows(min_row=2, values_only=True))
    table = list(csv.reader(io.StringIO(as_csv(QUOTE))))[1:]
    text = quote_text(QUOTE)
    for option, priced in zip(QUOTE.options, data["options"], strict=True):
        assert option.totals is not None
        total = option.totals.total
        assert Decimal(priced["price"]["total"]) == total
        assert [Decimal(str(row[3])) for row in cells if row[0] == option.name and row[1] == "total"] == [total]
        assert [Decimal(row[3]) for row in table if row[0] == option.name and row[1] == "total"] == [total]
        assert money_words(total, "EUR", "en") in text
        for line in option.totals.lines:
            mine = [row[3] for row in cells if (row[0], row[1]) == (option.name, line.what)]
            assert [Decimal(str(amount)) for amount in mine] == [line.amount]
    assert len(cells) == len(table) == len(line_rows(QUOTE))
    assert "owner" in data["options"][0]
    assert as_data(QUOTE, for_owner=False)["options"][0]["owner"] is None


def test_the_owner_s_spreadsheet_adds_cost_and_labour_that_adds_up() -> None:
    book = openpyxl.load_workbook(io.BytesIO(as_xlsx(QUOTE, for_owner=True)))
    assert book.sheetnames == ["Lines", "Cost", "Labour"]
    minutes = [row[4] for row in book["Labour"].iter_rows(min_row=2, values_only=True)]
    assert sum(minutes[:-1]) == minutes[-1] == round(QUOTE.main.option.minutes)
    assert labour_rows(QUOTE.main)[-1][4] == minutes[-1]


@pytest.mark.parametrize("name", ["=1+1", "+44", "-x", "@sum", "\tx"])
def test_what_a_person_typed_never_becomes_a_formula(name: str) -> None:
    quote = quoted(demo_job(), demo_shop(), {"taxes": [{"name": name, "percent": 5.0}]})
    kept = quote.main.totals.taxes[0].name  # type: ignore[union-attr]
    sheet = openpyxl.load_workbook(io.BytesIO(as_xlsx(quote)))["Lines"]
    cells = [cell for row in sheet.iter_rows() for cell in row if cell.value == kept]
    assert len(cells) == 3
    assert all(cell.data_type == "s" for cell in cells)
    if kept[0] in "=+-@":
        assert f",'{kept},tax," in as_csv(quote)


def test_numbers_are_written_as_in_the_place() -> None:
    assert money_words(Decimal("1234.5"), "JPY", "en") == "¥1,235"
    assert money_words(Decimal("1234.565"), "EUR", "de_DE").replace("\xa0", " ") == "1.234,57 €"
    assert percent_words(Decimal("19"), "de").replace("\xa0", " ") == "19 %"
    assert percent_words(Decimal("8.875"), "en") == "8.875%"


@pytest.mark.parametrize(("raw", "kind", "text"), [
    ({"margin_percent": 100}, BadValue, "quote: margin_percent is 100; give a number up to 90"),
    ({"taxes": [{"name": "x", "percent": -5}]}, BadValue, "percent is -5; give a number of 0 or more"),
    ({"taxes": [{"name": "x", "percent": 500}]}, BadValue, "percent is 500; give a number up to 100"),
    ({"taxes": [{"name": "x", "percent": 5, "groups": ["labor"]}]}, UnknownName, "is 'labor'; did you mean 'labour'"),
    ({"discount_percent": 100}, BadValue, "quote: discount_percent is 100; give a number under 100"),
    ({"valid_days": 0}, BadValue, "quote: valid_days is 0; give a number of 1 or more"),
    ({"travel": "12"}, BadValue, "quote: travel is '12'; give a number without quotes"),
    ({"travel": float("nan")}, BadValue, "quote: travel is nan; give a finite number"),
    ({"tax": 5}, UnknownKey, r"quote: unknown key 'tax'; did you mean 'taxes'\?"),
    ([], BadValue, r"quote is \[\]; give an object in { }"),
])
def test_wrong_terms_are_named(raw: dict[str, Any], kind: type[Exception], text: str) -> None:
    with pytest.raises(kind, match=text):
        read_terms(raw)


def test_wrong_office_figures_are_named() -> None:
    with pytest.raises(BadValue, match="office: vibration_cap_m_s2 is 6; give a number up to 5"):
        read_figures({"vibration_cap_m_s2": 6})
    assert read_figures({"rest_h": 12.0}).rest_h == 12.0


def test_assumed_figures_carry_their_kind_until_the_shop_sets_its_own() -> None:
    kinds = {s.name: (s.kind, s.unit) for s in sourced(read_figures({"rest_h": 12.0}), "our office")}
    assert kinds["rest_h"] == ("measured here", "h")
    assert kinds["refit_factor"] == ("assumed", "times")
    names = ("margin_percent", "materials_percent", "valid_days", "safe_share")
    assert {s.name: s.kind for s in sourced(QuoteTerms(), "our terms")} == dict.fromkeys(names, "assumed")


def test_what_a_price_needs_and_is_missing_is_said_in_one_line() -> None:
    made = filled_job()
    with pytest.raises(FinishplanError, match='currency is missing; add "currency": "EUR", or your own, to the'):
        quoted(made, shop(currency=None))
    with pytest.raises(BadValue, match="currency is 'EUX'; write the three letters of ISO 4217, such as EUR"):
        quoted(made, shop(currency="EUX"))
    with pytest.raises(BadValue, match="locale is 'xx_YY'; write a language, or a language and a country"):
        quoted(made, shop(), {"locale": "xx_YY"})
    no_rate = shop(people=[{"id": "A", "role": "finisher"}])
    with pytest.raises(FinishplanError, match="rate_per_h of 'A' is missing; give what an hour of a finisher costs"):
        quoted(made, no_rate)
    with pytest.raises(FinishplanError, match="rate_per_h of a finisher is missing"):
        quoted(made, shop(people=[]))
    assert quoted(made, no_rate, {"cost_per_h": {"finisher": 50.0}}).main.totals is not None
    with pytest.raises(UnknownName, match="option is 'all'; choose one of: buff only, repair what shows, level every"):
        quoted(made, shop(), chosen="all")
    with pytest.raises(BadValue, match="revision is 0; count from 1"):
        quoted(made, shop(), revision=0)
    chip = job(panel("lid", zone(defects=[defect("chip", depth_um=300.0, length_mm=5.0, width_mm=4.0)])))
    with pytest.raises(FinishplanError, match="'buff only' does nothing on this job; choose another option"):
        quoted(chip, shop(), chosen="buff only")


def test_a_tax_share_of_the_shop_file_is_one_tax_unless_the_terms_name_some() -> None:
    profile = shop(tax_share=0.077)
    assert read_terms({}, profile.file).taxes == (Tax(name="tax", percent=7.7),)
    assert read_terms(TERMS, profile.file).taxes[0].name == "VAT"
    assert read_terms({"currency": "USD"}, profile.file).currency == "USD"


def test_the_day_is_handed_in_and_the_offer_ends_after_its_days() -> None:
    assert (QUOTE.day, QUOTE.valid_until) == (date(2026, 3, 2), date(2026, 4, 1))
    assert {c.id: c.text for c in QUOTE.texts}["valid"] == "This offer stands until April 1, 2026."
