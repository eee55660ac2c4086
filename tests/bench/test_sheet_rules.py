import pytest
from bench_jobs import DULL, NICK, PEEL, SCRATCH, answer, every_answer, panel, zone

from finishplan import reference
from finishplan.bench import checks, sheet_rules
from finishplan.bench.sheet import sheets_of
from finishplan.errors import TableError
from finishplan.planning.result import VERDICTS
from finishplan.survey.choices import BUILDS

EDGE = {"name": "edge", "kind": "edge", "area_m2": 0.05,
        "readings": [{"um": um} for um in (262, 258, 265, 261)], "defects": []}


def test_four_stops_ten_rules_and_a_care_page():
    assert all(len(sheet_rules.four_stops(build)) == 4 for build in BUILDS)
    assert len(sheet_rules.ten_rules()) == 10
    assert len(sheet_rules.care_lines()) == 5


def test_colour_means_another_thing_in_each_build():
    assert "clear film" in sheet_rules.four_stops("clear over veneer")[0]
    assert "only the gauge" in sheet_rules.four_stops("pigmented through")[0]
    assert "not known" in sheet_rules.four_stops("unknown")[0]


def test_every_rule_is_looked_up_somewhere():
    found = {group: set(rules) for group, rules in sheet_rules.all_rules().items()}
    assert found["not_here"] == set(sheet_rules.NOT_HERE)
    assert found["first"] == set(VERDICTS) - {"go"}
    assert found["stop"] == {*sheet_rules.STOP_BY_BUILD.values(), *sheet_rules.OTHER_STOPS}
    assert found["hold"] == {"cleaned", "test_spot", "test_spot_done", "levelled", "before_compound", "cold"}
    assert set(sheet_rules.STOP_BY_BUILD) == set(BUILDS)
    assert len(checks.MOMENTS) == 3


def test_every_rule_says_where_it_comes_from():
    for row in reference.rows("sheet_rules"):
        assert row["source"], row["key"]


def test_a_missing_rule_says_what_to_add():
    with pytest.raises(TableError, match="no text 'polka' in group 'never'; add a row"):
        sheet_rules.rule("never", "polka")


CASES = {
    "only_these": panel(zone(DULL)),
    "fittings": panel(zone(DULL)),
    "no_sheet": panel(zone(PEEL), EDGE),
    "machine_edge": panel(zone(PEEL)),
    "machine_wet": panel(zone(PEEL)),
    "leave": panel(zone(DULL, {**SCRATCH, "wish": "leave"})),
    "clean": panel(zone(DULL, {"kind": "polish_build_up"})),
    "soften": panel(zone({**PEEL, "wish": "soften"})),
    "spot": panel(zone(SCRATCH)),
    "fill": panel(zone(NICK)),
    "curve": panel(zone(DULL), face="curved"),
    "moulded": panel(zone(DULL), face="moulded"),
    "upright": panel(zone(DULL), off=False, position="upright"),
    "on_instrument": panel(zone(DULL), off=False),
    "wheel": panel(zone(DULL), compounds_by="wheel"),
    "satin": panel(zone(PEEL), target={"finish": "satin", "last_sheet": "P1000"}),
    "last_service": panel(zone(DULL, readings=[{"um": um} for um in (133, 134, 135, 134, 133)])),
}


def start(key):
    return sheet_rules.rule("not_here", key).split("{")[0]


def test_every_not_here_rule_has_a_case():
    assert set(CASES) == set(sheet_rules.NOT_HERE)


@pytest.mark.parametrize("key", CASES)
def test_each_rule_prints_where_it_applies(key):
    (sheet,) = sheets_of(answer(CASES[key]))
    assert sheet.state == "go"
    assert any(text.startswith(start(key)) for text in sheet.not_here)
    assert not any("{" in text for text in sheet.not_here)


@pytest.mark.parametrize("key", sorted(set(CASES) - {"only_these", "fittings"}))
def test_and_nowhere_else(key):
    (sheet,) = sheets_of(answer(panel(zone(DULL), compounds_by="random orbit")))
    assert not any(text.startswith(start(key)) for text in sheet.not_here)


def test_every_sheet_that_starts_says_what_not_to_do():
    for found in every_answer():
        for sheet in sheets_of(found):
            assert bool(sheet.not_here) == (sheet.state == "go")
