"""A draft is changed part by part: what is not touched stays as typed, every step goes back, nothing is spoilt."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.errors import InputError
from somsim.plan import parse_plan
from somsim.planner.changes import Splice, words, written
from somsim.planner.draft import Draft, difference
from somsim.planner.spans import plain, spans_of

CONFIGS = Path(__file__).parent.parent.parent / "configs"
HILLSIDE = (CONFIGS / "hillside.yaml").read_text(encoding="utf-8")
DEPTH = ("strategies", "bought compost", 0, "spread", "depth")
CUT = ("strategies", "winter green manure", 0, "cover", "cut")
BLOCK = """\
title: a        # about the title
start: 2026-10-01

strategies:
  one:          # the first
    - spread:
        material: straw
        on: 1 May   # a good day
    - dig: {on: 2 May}
  two: [{idle: {as: weeds}}]
  # the last line
"""


def hostile_names() -> Any:
    return st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=40)


def test_one_value_is_changed_and_all_else_stays_as_typed() -> None:
    draft = Draft(HILLSIDE)
    draft.put(DEPTH, "15 mm")
    assert draft.text == HILLSIDE.replace("depth: 5 mm", "depth: 15 mm")
    assert draft.says(DEPTH) == "15 mm"


@pytest.mark.parametrize("path", sorted(CONFIGS.glob("*.yaml")), ids=lambda path: path.stem)
def test_every_value_of_every_plan_is_where_the_spans_say(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    spans = spans_of(text)
    assert all(text[one.start : one.end].strip("'\"") == one.value for one in spans.every if one.value is not None)


def test_many_changes_keep_the_places_right() -> None:
    draft = Draft(HILLSIDE)
    for number in (1, 12, 123, 7):
        draft.put(DEPTH, f"{number} mm")
        draft.put(("horizon",), f"{number} years")
        draft.put(("site", "soil", "depth"), f"{number} cm")
    assert plain(draft.spans.top) == plain(spans_of(draft.text).top)
    assert [(one.start, one.end) for one in draft.spans.every] == [
        (one.start, one.end) for one in spans_of(draft.text).every
    ]


def test_a_key_is_added_and_taken_away() -> None:
    draft = Draft(HILLSIDE)
    draft.put(("site", "soil", "clay"), "11 %")
    draft.put((*DEPTH[:-1], "last_year"), "8")
    assert "    clay: 11 %\n" in draft.text
    assert "then: left on surface, last_year: 8}" in draft.text
    draft.put(("site", "soil", "clay"), "")
    draft.put((*DEPTH[:-1], "last_year"), "")
    assert draft.text == HILLSIDE


def test_cuts_are_added_and_taken_away() -> None:
    draft = Draft(HILLSIDE)
    draft.append(CUT, "28 Apr")
    assert draft.says(CUT) == ["20 Apr", "28 Apr"]
    draft.append(CUT, {"on": "30 Apr", "then": "carted off"})
    draft.take_out((*CUT, 1))
    assert draft.says(CUT) == ["20 Apr", {"on": "30 Apr", "then": "carted off"}]


def test_strategies_are_copied_renamed_added_and_deleted_with_their_comments() -> None:
    draft = Draft(HILLSIDE)
    draft.copy("winter green manure", "a later cut")
    assert draft.text.count("# trodden into a bucket") == 2
    draft.rename("a later cut", "it's: later")
    draft.add_strategy("sheet", {"idle": {"as": "sheet"}})
    parse_plan(draft.text)
    assert list(draft.says(("strategies",)))[-1] == "sheet"
    draft.take_out(("strategies", "it's: later"))
    draft.take_out(("strategies", "sheet"))
    assert draft.text == HILLSIDE


def test_block_and_bracket_styles_are_both_changed() -> None:
    draft = Draft(BLOCK)
    draft.append(("strategies", "one"), {"idle": {"as": "bare"}})
    draft.append(("strategies", "two"), {"dig": {"on": "3 May"}})
    draft.put(("strategies", "one", 0, "spread", "depth"), "5 mm")
    draft.take_out(("strategies", "one", 1))
    assert draft.says(("strategies",)) == {
        "one": [{"spread": {"material": "straw", "on": "1 May", "depth": "5 mm"}}, {"idle": {"as": "bare"}}],
        "two": [{"idle": {"as": "weeds"}}, {"dig": {"on": "3 May"}}],
    }
    for comment in ("# about the title", "# the first", "# a good day", "# the last line"):
        assert comment in draft.text


def test_the_last_action_may_go_and_another_come() -> None:
    draft = Draft(HILLSIDE)
    draft.take_out(("strategies", "left alone in winter", 0))
    with pytest.raises(InputError, match="nothing is done here"):
        parse_plan(draft.text)
    draft.append(("strategies", "left alone in winter"), {"idle": {"as": "bare"}})
    assert draft.says(("strategies", "left alone in winter")) == [{"idle": {"as": "bare"}}]
    parse_plan(draft.text)


def test_line_ends_of_another_system_are_kept() -> None:
    draft = Draft(HILLSIDE.replace("\n", "\r\n"))
    draft.put(("site", "soil", "clay"), "11 %")
    draft.copy("bought compost", "twice")
    draft.take_out(("strategies", "twice"))
    assert draft.text.count("\n") == draft.text.count("\r\n") == HILLSIDE.count("\n") + 1


def test_a_value_changed_elsewhere_is_not_overwritten() -> None:
    draft = Draft(HILLSIDE)
    draft.put(DEPTH, "8 mm", was="5 mm")
    with pytest.raises(InputError, match='"8 mm" stands there now'):
        draft.put(DEPTH, "9 mm", was="5 mm")
    assert draft.says(DEPTH) == "8 mm"


def test_what_is_gone_is_told() -> None:
    draft = Draft(HILLSIDE)
    draft.take_out(("strategies", "bought compost"))
    for change in (
        lambda: draft.put(DEPTH, "9 mm"),
        lambda: draft.take_out(("strategies", "bought compost")),
        lambda: draft.rename("bought compost", "x"),
        lambda: draft.copy("bought compost", "x"),
        lambda: draft.append(("strategies", "bought compost", 0), {"dig": {"on": "1 May"}}),
    ):
        before = draft.text
        with pytest.raises(InputError, match="nothing was changed"):
            change()
        assert draft.text == before


@given(hostile_names())
def test_any_name_is_written_so_that_it_is_read_back(name: str) -> None:
    from somsim.plan.text import parse_text

    try:
        tree, _ = parse_text(f"a: {words(name)}", "plan")
    except InputError:
        return  # a character that no plan may have: told with its place
    read = str(tree["a"])
    assert " ".join(read.split()) == " ".join(name.split())


@pytest.mark.parametrize(
    "name", ["</script><b>x", '"quoted"', "it's", "x" * 190, "شتاء", "🌱 bed", "a: b # c", "- x", "{x}", "&a *b !c"]
)
def test_hostile_names_are_names_and_nothing_else(name: str) -> None:
    draft = Draft(HILLSIDE)
    draft.rename("bought compost", name)
    draft.copy(name, name + " 2")
    assert list(parse_plan(draft.text).strategies)[:2] == [name, name + " 2"]
    draft.undo()
    draft.undo()
    assert draft.text == HILLSIDE


@given(st.lists(st.sampled_from(["put", "add", "cut", "copy", "out", "undo", "redo"]), max_size=12))
def test_every_change_goes_back_and_forth(steps: list[str]) -> None:
    draft = Draft(HILLSIDE)
    for number, step in enumerate(steps):
        try:
            if step == "put":
                draft.put(DEPTH, f"{number + 6} mm")
            elif step == "add":
                draft.put(("site", "soil", "clay"), f"{number + 1} %")
            elif step == "cut":
                draft.append(CUT, "25 Apr")
            elif step == "copy":
                draft.copy("bought compost", f"copy {number}")
            elif step == "out":
                draft.take_out(("strategies", "bought compost", 1))
            elif step == "undo":
                draft.undo()
            else:
                draft.redo()
        except InputError:
            continue
        assert plain(draft.spans.top) == plain(spans_of(draft.text).top)
    last = draft.text
    count = len(draft.done)
    while draft.undo():
        pass
    assert draft.text == HILLSIDE
    for _ in range(count):
        draft.redo()
    assert draft.text == last


def test_ten_thousand_quick_changes_are_all_kept() -> None:
    draft = Draft(HILLSIDE)
    begun = time.process_time()
    for number in range(10_000):
        draft.put(DEPTH, f"{number % 40 + 1} mm")
    assert time.process_time() - begun < 30.0  # 3 ms each: a slow machine's tenth of what a person does in a second
    assert draft.says(DEPTH) == "40 mm"
    assert len(draft.done) == 10_000
    assert plain(draft.spans.top) == plain(spans_of(draft.text).top)


@given(st.text(max_size=60), st.text(max_size=60))
def test_the_difference_of_two_texts_leads_from_one_to_the_other(old: str, new: str) -> None:
    splice = difference(old, new)
    assert (splice.applied(old) if splice else old) == new
    assert (splice.undone.applied(new) if splice else new) == old


def test_a_splice_that_does_not_fit_is_refused() -> None:
    with pytest.raises(ValueError, match="another text"):
        Splice(0, "b", "c").applied("abc")


def test_a_name_of_ten_thousand_letters_is_refused_and_a_value_of_so_many_is_only_wrong() -> None:
    draft = Draft(HILLSIDE)
    with pytest.raises(InputError, match="10,000 characters are too many for a name"):
        draft.rename("bought compost", "x" * 10_000)
    draft.put(("title",), "x" * 10_000)
    assert draft.says(("title",)) == "x" * 10_000
    with pytest.raises(InputError, match="too many for one value"):
        draft.put(("title",), "x" * 30_000)


def test_an_action_is_written_on_one_line() -> None:
    assert written({"cover": {"name": "rye", "cut": ["1 May", {"on": "2 Jun"}]}}) == (
        "{cover: {name: rye, cut: [1 May, {on: 2 Jun}]}}"
    )
