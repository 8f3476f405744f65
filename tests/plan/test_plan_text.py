import copy
import os
import pickle
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.errors import InputError, Problem
from somsim.plan.text import DEEPEST, LARGEST_FILE, Items, Record, Text, parse_text, read_text


def where(text: str) -> list[tuple[int, int, str]]:
    """Give line, column and message of each mistake in a text."""
    with pytest.raises(InputError) as caught:
        parse_text(text, "p.yaml")
    return [place_and_message(problem) for problem in caught.value.problems]


def place_and_message(problem: Problem) -> tuple[int, int, str]:
    assert problem.place is not None
    return problem.place.line, problem.place.column, problem.message


def place_of(thing: object) -> tuple[int, int]:
    assert isinstance(thing, Text | Record | Items)
    return thing.place.line, thing.place.column


def test_words_stay_as_typed_and_know_their_place() -> None:
    tree, source = parse_text("a: 010\nb:\n  - no\n  - {c: 2026-02-30, d: '1'}\ne:\nf: ~\n", "p.yaml")
    assert tree == {"a": "010", "b": ["no", {"c": "2026-02-30", "d": "1"}], "e": "", "f": "~"}
    items = tree["b"]
    assert isinstance(items, Items)
    inner = items[1]
    assert isinstance(inner, Record)
    assert [
        place_of(thing) for thing in (tree, tree["a"], items, items[0], inner, inner["d"], tree["e"])
    ] == [
        (1, 1),
        (1, 4),
        (3, 3),
        (3, 5),
        (4, 5),
        (4, 24),
        (5, 1),
    ]
    key = inner.key_places["d"]
    assert (key.file, key.line, key.column) == ("p.yaml", 4, 21)
    assert source.line_at(key) == "  - {c: 2026-02-30, d: '1'}"


@pytest.mark.parametrize(
    "text",
    [
        "\ufeffa: 1\nb: 2",
        "a: 1\r\nb: 2\r\n",
        "a: 1\rb: 2",
        "---\na: 1\nb: 2\n...\n",
        "%YAML 1.2\n---\na: 1\nb: 2",
    ],
)
def test_marks_and_line_ends_of_other_editors(text: str) -> None:
    tree, source = parse_text(text, "p.yaml")
    assert tree == {"a": "1", "b": "2"}
    for word in tree.values():
        assert isinstance(word, Text)
        assert source.line_at(word.place)[word.place.column - 1] == word


def test_a_mark_and_line_ends_in_a_file(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_bytes(b"\xef\xbb\xbfa: \xc3\xa9\r\nb: 2\r\n")
    assert read_text(path)[0] == {"a": "é", "b": "2"}


def test_a_tree_survives_copying_and_pickling() -> None:
    tree, _ = parse_text("a: [1, {b: 2}]", "p.yaml")
    for twin in (pickle.loads(pickle.dumps(tree)), copy.deepcopy(tree)):
        assert twin == tree
        items = twin["a"]
        assert isinstance(items, Items)
        inner = items[1]
        assert isinstance(inner, Record)
        assert place_of(inner["b"]) == (1, 12)
        assert inner.key_places.keys() == {"b"}


DOUBLE = "a second colon, or a key indented under a value"
INDENT = "this is indented otherwise than its neighbours"
MISTAKES = [
    ("a: b: c\n", 1, 5, DOUBLE),
    ("a: 1\n  b: 2\n", 2, 4, DOUBLE),
    ("a: 1\nb\nc: 2\n", 2, 1, "a key without a colon"),
    ("a: [1, 2\nb: 3\n", 2, 2, "a comma or ] is missing before this"),
    ("a: {x: 1\n", 1, 4, "this bracket is never closed"),
    ("a: [x, 1\n", 1, 4, "this bracket is never closed"),
    ("a: [1]]\n", 1, 7, "this ] closes nothing"),
    ("a: [1,,2]\n", 1, 7, "a value is missing before this"),
    ("a:\n    b: 1\n  c: 2\n", 3, 3, INDENT),
    ("- a\nb: 1\n", 2, 1, INDENT),
    ("a: - b\n", 1, 4, "a list item where none can stand"),
    ("a: 1\n- b\n", 2, 1, "a list item where none can stand"),
    ("a: 'x' y\n", 1, 8, "more words after a value that had ended"),
    ("a: 'x\nb: 1\n", 1, 4, "this quote is never closed"),
    ('a: "\\q"\n', 1, 6, "a backslash in double quotes"),
    ('a: "\\UFFFFFFFF"\n', 1, 5, "a backslash escape that names no character"),
    ('a: "\\ud800"\n', 1, 4, "a backslash escape for a character that can't be seen"),
    ('a: "\\0"\n', 1, 4, "a backslash escape for a character that can't be seen"),
    ("a: @x\n", 1, 4, "a value can't begin with this sign"),
    ("a: *\n", 1, 4, "& and * can't begin a value"),
    ("a: |x\n b\n", 1, 5, "more words after | or >"),
    ("a: 1\n... x\n", 2, 5, "more text after the end of the plan"),
    ("%FOO\n", 2, 1, "the text ends before the plan begins"),
    ("...\n", 1, 1, "the text ends before the plan begins"),
    ("a: ? b\n", 1, 4, "a ? where no key can stand"),
    ("%YAML 1.1\n---\na: 1\n", 1, 1, "a line that begins with %"),
    ("%TAG ! x\n---\na: 1\n", 1, 1, "a line that begins with %"),
    ("a: 1\nb: 2\na: 3\n", 3, 1, 'the key "a" stands twice'),
    ("a: &k 1\n", 1, 4, "&k gives a name to what follows"),
    ("a: *k\n", 1, 4, "*k stands for words written elsewhere"),
    ("a: !x 1\n", 1, 4, "!x is a tag; plans have none"),
    ("a: !!int 1\n", 1, 4, "!!int is a tag; plans have none"),
    ("a: !u!x 1\n", 1, 4, "a tag, which begins with !; plans have none"),
    ("a: {<<: b}\n", 1, 5, "<< merges words written elsewhere"),
    ("a: 1\n---\nb: 1\n", 2, 1, "a second document begins here"),
    ("? [a]\n: 1\n", 1, 3, "a list can't be a key"),
    ("? {a: 1}\n: 1\n", 1, 3, "a mapping can't be a key"),
    (": 1\n", 1, 1, "a key is missing"),
    ('"": 1\n', 1, 1, "a key is missing"),
    ("- a\n", 1, 1, "the plan is a list"),
    ("hello\n", 1, 1, "the plan is words without a key"),
    ("", 1, 1, "nothing is written here"),
    ("# only a note\n\n", 1, 1, "nothing is written here"),
    ("---\n", 1, 1, "nothing is written here"),
    ("a:\n\tb: 1\n", 2, 1, "a tab in the indentation"),
    ("a:\n  \tb: 1\n", 2, 3, "a tab in the indentation"),
    ("a: \x00\n", 1, 4, "a character that can't be seen (U+0000)"),
    ("a: \x1b\n", 1, 4, "a character that can't be seen (U+001B)"),
    ("a: b\u2028c\n", 1, 5, "a character that can't be seen (U+2028)"),
    ("a: b\ufeffc\n", 1, 5, "a character that can't be seen (U+FEFF)"),
]


@pytest.mark.parametrize(("text", "line", "column", "message"), MISTAKES)
def test_each_mistake_has_its_place(text: str, line: int, column: int, message: str) -> None:
    assert where(text) == [(line, column, message)]


def test_mistakes_are_told_together_in_reading_order() -> None:
    found = where("a: !x 1\nb: &k 2\nc: *k\nd: {<<: 1}\na: 3\ne: [\n")
    assert [line for line, _, _ in found] == [1, 2, 3, 4, 5, 6]


def test_a_twice_written_key_names_both_lines() -> None:
    with pytest.raises(InputError) as caught:
        parse_text("a: 1\nb: 2\na: 3\n", "p.yaml")
    assert "p.yaml:3:1" in str(caught.value)
    assert "p.yaml:1:1" in str(caught.value)


def test_the_deepest_plan_and_one_level_more() -> None:
    inside = DEEPEST - 1  # the plan itself is the first level
    tree, _ = parse_text("a: " + "[" * inside + "1" + "]" * inside, "p.yaml")
    thing = tree["a"]
    for _ in range(inside):
        assert isinstance(thing, Items)
        thing = thing[0]
    assert thing == "1"
    assert where("a: " + "[" * DEEPEST + "]" * DEEPEST)[0][2] == "more than 20 levels inside each other"


@pytest.mark.parametrize("opening", ["[", "{a: ", "- "])
def test_three_thousand_openings_are_refused_without_recursion(opening: str) -> None:
    assert where("a: \n " + opening * 3000)[0][2] == "more than 20 levels inside each other"


def told(path: Path | str) -> str:
    with pytest.raises(InputError) as caught:
        read_text(path)
    return str(caught.value)


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    assert told(tmp_path / "no.yaml").startswith(f"there is no file {tmp_path}/no.yaml\n")


def test_a_folder(tmp_path: Path) -> None:
    assert told(tmp_path).startswith(f"{tmp_path} is a folder; a plan is one file\n")


@pytest.mark.parametrize("name", ["a\0b", "a" * 5000])
def test_a_name_no_file_can_have(name: str) -> None:
    assert "can't be read: " in told(name)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with a name")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert "is not an ordinary file" in told(tmp_path / "pipe")


def test_a_file_too_large(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_bytes(b"a: 1\n" + b"#" * LARGEST_FILE)
    assert "is 1.0 MB; a plan is at most 1 MB" in told(path)


def test_a_byte_that_is_not_utf8_has_its_place(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_bytes("title: é\r\nfarm: caf".encode() + b"\xe9\r\n")
    assert told(path) == (
        f"{path}:2:10\n"
        "  2 | farm: caf\ufffd\n"
        "    |          ^ the byte 0xe9 is not UTF-8\n"
        "  save the file as UTF-8\n"
        "1 mistake; nothing was run."
    )


def test_a_byte_that_is_not_utf8_after_a_byte_order_mark(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_bytes(b"\xef\xbb\xbfa: \xe9\n")
    assert told(path).startswith(f"{path}:1:4\n  1 | a: \ufffd\n")


def test_the_other_unicode_is_named(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    for coding in ("utf-16-le", "utf-16-be"):
        path.write_bytes("\ufeffa: 1\n".encode(coding))
        assert "the file is UTF-16" in told(path)


def read_or_none(text: str) -> Record | None:
    try:
        return parse_text(text, "p.yaml")[0]
    except InputError:
        return None


@given(st.text(max_size=60) | st.text("ab: -?[]{},&*!|>'\"%@`#\n\\\t0~<xU", max_size=40))
def test_any_text_is_a_tree_or_told_mistakes(text: str) -> None:
    tree = read_or_none(text)
    assert tree is None or set(tree) == set(tree.key_places)
