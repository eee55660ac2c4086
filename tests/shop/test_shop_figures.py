"""Everything that plan, quote and safety read from a shop file has its place among the figures of the Shop page."""

from __future__ import annotations

from typing import Any

import pytest

from finishplan import reference
from finishplan.bench.learn import LEAST_LINES
from finishplan.errors import FinishplanError
from finishplan.office.home import HomeRules
from finishplan.office.labour import LABOUR_ROLES
from finishplan.office.terms import OWN_MINUTES, CostPerHour, OfficeFigures, QuoteTerms
from finishplan.records.files import demo_job_path, demo_shop_path, read_file
from finishplan.records.shop_whole import (
    LIMIT_WORDS,
    MINUTES_GROUPS,
    TICKS,
    check_shop,
    gear_figures,
    home_figures,
    limit_figures,
    limit_line,
    minutes_figures,
    normal,
    office_figures,
    quote_figures,
)
from finishplan.safety.day_air import FROM_SHOP
from finishplan.safety.limits import LOCAL_KEYS
from finishplan.shop.figures import (
    POLICY_GROUPS,
    SHOP_WORDS,
    STEP_WORDS,
    TOOL_WORDS,
    hours_figures,
    person_figures,
    policy_group,
    price_figures,
    price_items,
    shop_figures,
    step_figures,
    tool_figures,
)
from finishplan.shop.policy import Favours, Keep, KeepRules, Policy
from finishplan.shop.profile import RATE, Profile, apply_shop, default_profile
from finishplan.shop.shop_file import DAYS, LearnedRate, Person, Price, ShopFile, StepChange, ToolChange
from finishplan.survey.job import read_job_dict
from finishplan.workup import work_up

OWN_PLACES = {"format", "version", "steps", "tools", "learned_rates", "policy", "people", "prices", "hours",
              "equipment", "home", "local_limits", "quote", "office"}
"""Fields of a shop file that are groups: each is listed by a test of its own below."""
FULL = {"format": "finishplan-shop", "version": 1, "people": [{"id": "A"}], "prices": {"catalyst": {"pack": 100.0}},
        "local_limits": {"styrene": {"twa": 20.0, "unit": "ppm"}}}


def names(found: list[Any]) -> list[str]:
    return [str(figure.path[-1]) for figure in found]


def full() -> Profile:
    return check_shop(FULL)


def test_every_field_of_the_shop_file_has_a_place() -> None:
    assert {*names(shop_figures(full())), *OWN_PLACES} == {
        field.alias or name for name, field in ShopFile.model_fields.items()}
    assert list(SHOP_WORDS) == names(shop_figures(full()))


def test_every_field_of_a_step_is_set_somewhere() -> None:
    of_any = {name for step in full().steps for name in names(step_figures(full(), step.name))}
    assert of_any == set(STEP_WORDS) == set(StepChange.model_fields) - {"step"}


def test_every_field_of_a_tool_is_set_somewhere() -> None:
    of_any = {name for way, use in full().tools for name in names(tool_figures(full(), way, use))}
    assert of_any == set(TOOL_WORDS) == set(ToolChange.model_fields) - {"way", "use"}


def test_every_figure_of_the_policy_stands_in_one_group() -> None:
    grouped = [name for group in POLICY_GROUPS.values() for name in group]
    assert sorted(grouped) == sorted(Policy.model_fields)
    paths = [figure.path for group in POLICY_GROUPS for figure in policy_group(full(), group)]
    assert len(paths) == len(set(paths)) == len(grouped) - 2 + len(KeepRules.model_fields) * len(
        Keep.model_fields) + len(Favours.model_fields)


def test_every_field_of_people_prices_hours_and_limits_is_set_somewhere() -> None:
    assert set(names(person_figures(full(), "A"))) == set(Person.model_fields) - {"id"}
    assert names(price_figures(full(), "catalyst")) == list(Price.model_fields)
    assert names(hours_figures(full())) == list(DAYS)
    assert names(limit_figures(full(), "styrene")) == [*LOCAL_KEYS, "unit", "source"]
    assert tuple(LIMIT_WORDS) == tuple(LOCAL_KEYS)
    assert limit_line("styrene", FULL["local_limits"]["styrene"]) == "styrene: mean over 8 hours 20 ppm"


def test_every_term_of_the_office_and_fact_of_safety_is_set_somewhere() -> None:
    quote = quote_figures(full())
    assert set(names(quote)) == {*QuoteTerms.model_fields, *CostPerHour.model_fields} - {"cost_per_h"}
    assert set(CostPerHour.model_fields) == set(LABOUR_ROLES)
    assert [*names(office_figures(full())), *MINUTES_GROUPS.values()] == list(OfficeFigures.model_fields)
    assert names(home_figures(full())) == list(HomeRules.model_fields)
    assert set(TICKS) == set(FROM_SHOP) <= set(names(gear_figures(full())))


def test_a_pack_price_can_be_given_for_all_that_a_job_uses() -> None:
    profile = apply_shop(default_profile(), read_file(demo_shop_path()))
    answer = work_up(read_job_dict(read_file(demo_job_path())), profile, draws=0)
    assert answer.materials and {line.item for line in answer.materials} <= set(price_items(profile))


def test_a_learned_rate_goes_before_a_typed_one_and_is_measured_here() -> None:
    rate = {"rate_cm3_per_min": 1.5, "low_cm3_per_min": 1.2, "high_cm3_per_min": 1.9, "lines": 5}
    shop = {**FULL, "steps": [{"step": "P600", "removal_rate_cm3_per_min": 1.1}], "learned_rates": {"P600": rate}}
    profile = check_shop(shop)
    assert profile.step("P600").removal_rate_cm3_per_min == 1.5
    figure = profile.step_figure(profile.step("P600"), RATE, "cm3/min", "removal rate")
    assert (figure.kind, figure.source) == ("measured here", "our shop's own log")
    assert profile.step("P800") == default_profile().step("P800")
    least = next(part.ge for part in LearnedRate.model_fields["lines"].metadata if hasattr(part, "ge"))
    assert least == LEAST_LINES


def test_every_allowance_and_hardware_task_has_its_minutes() -> None:
    listed = {group: [row[name] for row in reference.rows(table) if row[column]]
              for group, (table, name, column) in OWN_MINUTES.items()}
    assert {field: names(minutes_figures(full(), group)) for group, field in MINUTES_GROUPS.items()} == listed
    own = check_shop({**FULL, "office": {"allowance_min": {"photos": 5.0}, "hardware_min": {"lid off": 24.0}}})
    photos = next(one for one in minutes_figures(own, "Allowances") if one.label == "Photos")
    assert (photos.title, photos.shipped, photos.used, photos.kind) == (
        "Photos, min a part", 2.0, 5.0, "from memory")
    assert [one.used for one in minutes_figures(own, "Hardware")][:2] == [24.0, 38.0]


def test_each_figure_has_its_own_kind_and_one_changed_leaves_the_others_as_shipped() -> None:
    profile = check_shop({**FULL, "steps": [{"step": "P600", "change_min": 4.0}],
                          "tools": [{"way": "rotary", "for": "compound", "rpm": 1500.0}]})
    found = {figure.name: (figure.kind, figure.source) for figure in profile.figures()}
    shipped = {figure.name: (figure.kind, figure.source) for figure in default_profile().figures()}
    assert found["P600, change"] == ("measured here", "our shop's own figure")
    assert {name for name, said in found.items() if said != shipped[name]} == {"P600, change"}
    speed = check_shop({**FULL, "tools": [{"way": "rotary", "for": "compound", "speed_factor": 1.1}]}).figures()
    assert [figure.name for figure in speed if (figure.kind, figure.source) != shipped[figure.name]] == [
        "rotary for compound, speed"]
    typed = check_shop({**FULL, "steps": [{"step": "P600", "removal_rate_cm3_per_min": 1.1}]})
    rate = typed.step_figure(typed.step("P600"), RATE, "cm3/min", "removal rate")
    assert (rate.kind, rate.source) == ("measured here", "our shop's own figure")
    grade = check_shop({**FULL, "steps": [{"step": "US 600"}]})
    assert grade.step_figure(grade.step("US 600"), "scratch_depth_um", "um", "scratch depth").kind.startswith("assumed")


def test_sheets_are_dry_where_the_shop_says_so_and_a_step_does_not() -> None:
    profile = check_shop({**FULL, "wet_sheets": False, "steps": [{"step": "P800", "wet": True}]})
    assert not profile.step("P600").wet and profile.step("P800").wet
    assert profile.step("cutting compound") == default_profile().step("cutting compound")


@pytest.mark.parametrize(("part", "said"), [
    ({"learned_rates": {"P7": {"rate_cm3_per_min": 1.0, "low_cm3_per_min": 1.0, "high_cm3_per_min": 1.0, "lines": 3}}},
     r"P7.*learned_rates|learned_rates.*P7"),
    ({"learned_rates": {"P600": {"rate_cm3_per_min": 1.0, "low_cm3_per_min": 1.0, "high_cm3_per_min": 1.0,
                                 "lines": 2}}}, r"lines is 2; give a number of 3 or more|lines.*3 or more"),
    ({"local_limits": {"styrene": {"twa": 20.0, "unit": "grains"}}}, "unit"),
    ({"quote": {"margin_percent": 95.0}}, "margin_percent"),
    ({"office": {"rest_h": -1.0}}, "rest_h"),
    ({"office": {"allowance_min": {"photo": 5.0}}}, "allowance_min is 'photo'; did you mean 'photos'"),
    ({"office": {"hardware_clean_min": {"lid off": 5.0}}}, "hardware_clean_min is 'lid off'; choose one of: polish"),
    ({"office": {"hardware_min": {"lid off": -1.0}}}, "lid off is -1; give a number of 0 or more"),
    ({"home": {"coarsest_sheet": "cutting compound"}}, "name a sheet"),
    ({"hours": {"mon": [["09:00", "08:00"]]}}, "mon"),
])
def test_a_shop_is_kept_only_when_all_that_read_it_can(part: dict[str, Any], said: str) -> None:
    with pytest.raises(FinishplanError, match=said):
        check_shop({**FULL, **part})


def test_a_mask_given_alone_is_read_as_an_object() -> None:
    shop = normal({**FULL, "equipment": {"respirator": " Half mask ", "lamp": "yes"}})
    assert shop["equipment"] == {"respirator": {"mask": "half mask"}, "lamp": "yes"}
    assert normal(shop) == shop
