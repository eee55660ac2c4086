"""A plan in sentences."""

from __future__ import annotations

from dataclasses import replace

import made_plans as made

from finishplan.paper import lines


def test_first_line_names_what_stops_a_panel() -> None:
    ready = made.panel(made.zone(removal=20.0), name="rim", takes={"P800": 20.0})
    said = lines.first_line(made.plan(made.lid(), ready), 278.0)
    assert said == ('One of two panels can start. Do not start "main lid, top face": measure first. '
                    "4 h 40 of work in all.")


def test_panel_line_of_a_stopped_panel_says_where_and_why() -> None:
    zone = replace(made.zone("front edge", verdict="measure first"), reasons=("two readings, take one more",))
    assert lines.panel_line(made.panel(made.zone(), zone, name="lid")) == (
        "lid: measure first, front edge: two readings, take one more")


def test_panel_line_of_a_ready_panel() -> None:
    field = made.zone(removal=20.0)
    edge = made.zone("edge", kind="edge", low=150.0, keep=60.0)
    panel = made.panel(field, name="rim", takes={"P800": 20.0})
    panel = replace(panel, zones=(field, edge))
    assert lines.panel_line(panel) == (
        "rim: start P800, one sheet, 3 h 20, takes 20 of 196 um to spend at field, edges compound only")


def test_tightest_zone_is_the_one_that_takes_most_of_its_film() -> None:
    wide, thin = made.zone(removal=20.0), made.zone("edge", low=95.0, keep=60.0, removal=20.0)
    found = lines.tightest(made.panel(wide, thin))
    assert found is not None and found.name == "edge"
    assert lines.tightest(made.panel(made.zone())) is None


def test_spots_and_fills_are_counted_by_their_entries() -> None:
    zone = made.zone(defects=(made.defect("scratch", repair="spot", count=2), made.defect("nick", repair="fill")))
    assert lines.local_words(made.panel(zone)) == "two spots and one fill"


def test_start_words() -> None:
    assert lines.start_words(made.lid()) == "Do not start: measure first"
    assert lines.start_words(made.panel(made.zone())) == "Go"
    assert lines.start_words(made.panel(replace(made.zone(), last_service=True))) == "Go, last service"


def test_what_a_step_takes_is_told_by_zone_only_where_it_differs() -> None:
    same = made.panel(made.zone(), made.zone("edge"), takes={"P800": 20.0}).steps[0]
    assert lines.taken_words(same) == "20 um"
    other = replace(same, zones=(same.zones[0], replace(same.zones[1], removal_um=4.36, way="hand")))
    assert lines.taken_words(other) == "field 20, edge 4.4 um"
    assert lines.ways_words(other) == "machine and hand, wet"


def test_repairs_name_their_local_steps_and_what_was_asked() -> None:
    fill = replace(made.defect("nick", repair="fill"), local_steps=("P600", "P1000"), asked="soften")
    assert lines.repair_words(fill) == "fill, softened with P600 and P1000"
    assert lines.repair_words(made.defect(repair="leave")) == "leave"
    assert lines.defect_name(replace(made.defect(), index=None)) == "scratches of the last step"
    assert lines.own_minutes(made.defect()) == "–"


def test_zone_line_rounds_the_safe_way() -> None:
    assert lines.zone_line(made.zone(mean=400.9, low=276.9, keep=80.0, removal=20.01)) == (
        "film 400 um, measured, 3 readings, we count on 276, leave at least 80, takes 21, 253 left to count on")
