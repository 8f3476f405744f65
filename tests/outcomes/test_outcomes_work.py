"""Hours of work against worked arithmetic on the best values of the library's rates."""

import datetime

import numpy as np
import pytest
from money_plans import COVER, CROP, SPREAD, run

from somsim.outcomes.work import done_by, hours_of_work, tool_of, work
from somsim.simulate import Trajectory

AREA = 40.0
Day = datetime.date


def hours(made: Trajectory) -> dict[str, float]:
    """Hours of each kind of job on all beds, over the whole plan."""
    found: dict[str, float] = {}
    times = (made.timeline.times[0], made.timeline.times[-1])
    for job in work(made).jobs:
        part = done_by([(job.first, job.last)], times)[0, -1]
        found[job.kind] = found.get(job.kind, 0.0) + part * float(job.hours[0]) * job.share * AREA
    return found


def test_spreading_takes_hours_by_volume() -> None:
    # 40 m2 x 5 mm x 4 years = 0.8 m3; by barrow 1.3 h/m3, with a loader 0.5 h/m3.
    assert hours(run(SPREAD)) == {"spread": pytest.approx(0.8 * 1.3)}
    assert hours(run(SPREAD, extra="tools: {spread: loader}\n")) == {"spread": pytest.approx(0.8 * 0.5)}


def test_a_cover_is_sown_and_cut_by_area_with_the_tools_of_the_plan() -> None:
    # 40 m2, four times: sown by hand at 0.5 h/100 m2, cut with a scythe at 0.4, shears 0.8, two-wheel tractor 0.15.
    assert hours(run(COVER)) == {"sow": pytest.approx(1.6 * 0.5), "cut": pytest.approx(1.6 * 0.4)}
    assert hours(run(COVER, shelter="unheated tunnel"))["cut"] == pytest.approx(1.6 * 0.8)
    tools = "tools: {sow: push seeder, cut: two-wheel tractor}\n"
    assert hours(run(COVER, extra=tools)) == {"sow": pytest.approx(1.6 * 0.4), "cut": pytest.approx(1.6 * 0.15)}


def test_what_is_carted_off_is_raked_and_what_is_dug_in_is_dug() -> None:
    carted, dug = (COVER.replace("left on surface", fate) for fate in ("carted off", "dug in"))
    assert hours(run(carted))["rake"] == pytest.approx(1.6 * 0.8)
    assert hours(run(dug))["dig"] == pytest.approx(1.6 * 6.0)
    assert hours(run(dug, extra="tools: {dig: broadfork}\n"))["dig"] == pytest.approx(1.6 * 1.0)


def test_two_diggings_of_a_bed_on_one_day_are_one() -> None:
    dug = SPREAD.replace("left on surface", "dug in")
    both = (dug, "dig: {on: 20 Apr, every: year}")
    assert hours(run(*both))["dig"] == pytest.approx(hours(run(dug))["dig"])
    half = dug.replace("every: year", "every: year, beds: 1 to 2")
    assert hours(run(half, "dig: {on: 20 Apr, every: year}"))["dig"] == pytest.approx(1.6 * 6.0)


def test_a_crop_takes_its_hours_evenly_while_it_stands_and_only_within_the_plan() -> None:
    # Cucumbers 1.1 h/m2.  From 1 May to 30 September are 153 days; a plan from 1 July sees the last 92 of them.
    assert hours(run(CROP)) == {"grow": pytest.approx(4 * 1.1 * AREA)}
    cut_off = hours(run(CROP, start="2026-07-01", horizon="6 months"))["grow"]
    assert cut_off == pytest.approx(1.1 * AREA * 92 / 153)


def test_a_sheet_is_laid_once_for_each_time_it_lies() -> None:
    # 0.6 h/100 m2.  Around four crops the ground is free five times: before the first, between them, after the last.
    assert hours(run("idle: {as: sheet, from: 1 Nov, to: 1 Mar, every: year}"))["sheet"] == pytest.approx(1.6 * 0.6)
    assert hours(run(CROP, "idle: {as: sheet}"))["sheet"] == pytest.approx(5 * 0.4 * 0.6)


def test_a_heap_is_built_by_the_volume_of_what_is_carted_to_it() -> None:
    # 4 t/ha on 40 m2 is 16 kg dry; over its dry matter that is fresh, at 350 kg/m3 a volume, at 0.8 h/m3 hours.
    made = run(COVER.replace("left on surface", "to the heap"))
    dry_matter = made.world.figures.unknowns["covers/rye_and_vetch/dry_matter_vegetative"].best
    assert hours(made)["heap"] == pytest.approx(4 * 16 / dry_matter / 350 * 0.8)
    assert "turning heaps" in work(made).unknown


@pytest.mark.parametrize(
    ("action", "what"),
    [
        ("idle: {as: weeds}", "keeping weeds down on ground left idle"),
        ("idle: {as: bare}", "keeping weeds down on ground left idle"),
        ("input: {name: straw, residue: straw, carbon: 2 t C/ha/yr}", "the work behind straw"),
    ],
)
def test_work_without_a_published_figure_is_named_and_counts_nothing(action: str, what: str) -> None:
    made = run(action)
    assert work(made).unknown == (what,)
    assert not hours_of_work(made).any()


def test_a_crop_nobody_has_hours_for_is_named() -> None:
    own = "crops: {skirret: {residue: soft_green, dry_residue: 0.2 kg/m2}}\n"
    assert work(run(CROP.replace("cucumber", "skirret"), extra=own)).unknown == ("growing skirret",)


def test_the_outcome_is_all_jobs_by_beds_and_ends_with_their_sum() -> None:
    made = run(CROP, SPREAD.replace("every: year", "every: year, beds: 1"), draws=8)
    done = hours_of_work(made)
    assert done.shape == (5, 2, 8) and not done[0].any()
    assert np.all(np.diff(done, axis=0) > 0.0)
    spread = made.world.draws.of("tasks/spread_by_barrow/rate") * 0.005
    assert done[-1, 0] - done[-1, 1] == pytest.approx(4 * spread)
    assert done[-1, 1] == pytest.approx(4 * made.world.draws.of("crops/cucumber/labour"))


def test_the_usual_tool_depends_on_the_place_and_gives_way_to_the_plan() -> None:
    outdoors, covered = (run(SPREAD, shelter=place).world.figures.plan for place in ("open ground", "unheated tunnel"))
    assert (tool_of(outdoors, "cut"), tool_of(covered, "cut"), tool_of(covered, "dig")) == ("scythe", "shears", "spade")
    said = run(SPREAD, shelter="unheated tunnel", extra="tools: {cut: scythe}\n").world.figures.plan
    assert tool_of(said, "cut") == "scythe"


def test_parts_of_neighbouring_times_add_up_to_one() -> None:
    times = [Day(2027, 1, 1) + datetime.timedelta(days=step) for step in range(0, 40, 7)]
    parts = np.diff(done_by([(Day(2027, 1, 3), Day(2027, 1, 20)), (Day(2027, 1, 9), Day(2027, 1, 9))], times), axis=1)
    assert parts.sum(axis=1) == pytest.approx([1.0, 1.0], rel=1e-12)
    assert parts[1].tolist() == [0, 1, 0, 0, 0]
