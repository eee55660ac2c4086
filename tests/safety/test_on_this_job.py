"""Why a caution is here on this job: the facts that meet its trigger, and no others."""

from __future__ import annotations

import pytest
from made_situations import CHIP, SCRATCH, SWIRLS, Raw, panel, powered_by, raised, raw_job
from test_cautions_row_by_row import ALSO, CASES, ROWS

from finishplan.safety.on_this_job import FACTS
from finishplan.safety.sign_off import ground_of
from finishplan.safety.triggers import KEYS

TOLD = [row for row in CASES if ROWS[row]["trigger_key"] in FACTS]


@pytest.mark.parametrize("row", TOLD)
def test_every_trigger_that_has_facts_tells_some(row: str) -> None:
    found = raised(*CASES[row][0])[row]
    assert found.on_this_job and found.here_because == f"{found.trigger}. On this job: {found.on_this_job}"


@pytest.mark.parametrize("name", [name for name, (row, _, here) in ALSO.items() if here and row in TOLD])
def test_so_does_every_other_way_in(name: str) -> None:
    row, case, _ = ALSO[name]
    assert raised(*case)[row].on_this_job


def test_the_keys_are_triggers_and_the_rest_says_its_trigger_alone() -> None:
    assert set(FACTS) <= set(KEYS)
    found = raised(raw_job(panel(SCRATCH)))["D3"]
    assert found.on_this_job == "" and found.here_because == found.trigger


@pytest.mark.parametrize(("row", "raw", "shop", "told"), [
    ("D5", raw_job(instrument={"year": 1968, "overcoated": True}, build="unknown"), None,
     "built in 1968; its build is not known; it lies under another coat; no lead test is on file"),
    ("D6", raw_job(instrument={"year": None}, build="clear over colour"), None,
     "its year is not known; a colour coat lies under the clear"),
    ("D7", raw_job(panel(CHIP, name="rim, bass"), panel(SCRATCH, name="lid")), None, 'damage on "rim, bass"'),
    ("E1", raw_job(panel(SCRATCH)), powered_by("mains"), "wet: P1000 and P1500; on mains: buffing by rotary"),
    ("E3", raw_job(panel(SWIRLS)), None, "on mains: buffing by rotary"),
    ("F3", raw_job(panel(CHIP, name="lid"), solvents=[{"substance": "MEKP", "ml": 1.0}]), None,
     "fills on lid; on the list of solvents: methyl ethyl ketone peroxide"),
    ("P1", raw_job(panel(CHIP), site={"alone": True}, solvents=[{"substance": "acetone", "ml": 51.0}]), None,
     "one works alone; peroxide and more than 50 ml of solvent"),
])
def test_what_is_told(row: str, raw: Raw, shop: Raw | None, told: str) -> None:
    assert raised(raw, shop)[row].on_this_job == told


def test_a_signature_rests_on_the_words_and_sums_and_not_on_this() -> None:
    """Another panel with a fill is no new ground: what peroxide does to an eye stays the same."""
    one = raised(raw_job(panel(CHIP, name="lid")))["F3"]
    two = raised(raw_job(panel(CHIP, name="lid"), panel(CHIP, name="rim")))["F3"]
    assert one.on_this_job != two.on_this_job and ground_of(one) == ground_of(two)
