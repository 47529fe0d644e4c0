import pytest

from steadfall.plan.problems import MOST_LISTED, Problems
from steadfall.plan.text.tree import DEEPEST, LARGEST_TEXT, Items, Node, Scalar, Table, read_tree
from steadfall.source import PlanError
from tests.effort import at_most

FEW_CALLS = 10_000  # what is refused is not walked
CALLS_A_ROW = 70


def tree(text: str) -> Node:
    problems = Problems()
    node = read_tree(text, "p.yaml", problems)
    assert not problems
    return node


def refused(text: str) -> list[str]:
    problems = Problems()
    with pytest.raises(PlanError) as caught:
        read_tree(text, "p.yaml", problems)
    return [problem.slug for problem in caught.value.problems]


def flat(node: Node) -> object:
    if isinstance(node, Scalar):
        return node.text
    if isinstance(node, Items):
        return [flat(item) for item in node.nodes]
    return {entry.key.text: flat(entry.value) for entry in node.entries}


def test_every_scalar_stays_text() -> None:
    text = "a: on\nb: 010\nc: 1e3\nd: null\ne: 2026-05-04\nf: 'x'\ng:\nh: [yes, ~]\n"
    expected = {
        "a": "on",
        "b": "010",
        "c": "1e3",
        "d": "null",
        "e": "2026-05-04",
        "f": "x",
        "g": "",
        "h": ["yes", "~"],
    }
    assert flat(tree(text)) == expected


def test_every_key_and_value_knows_its_place() -> None:
    node = tree("a: 1\nlong:\n  - {b: two, c: 'three'}\n")
    assert isinstance(node, Table)
    items = node.entries[1].value
    assert isinstance(items, Items)
    row = items.nodes[0]
    assert isinstance(row, Table)
    assert str(row.entries[0].key.mark) == "p.yaml:3:6"
    assert str(row.entries[0].value.mark) == "p.yaml:3:9"
    assert str(row.entries[1].value.mark) == "p.yaml:3:18"  # within the quote, as the text counts from there


def test_offsets_are_columns_only_where_the_text_stands_as_written() -> None:
    node = tree('a: plain\nb: "esc\\u0061ped"\nc: two\n  lines\nd: |\n  block\n')
    assert isinstance(node, Table)
    values = [entry.value for entry in node.entries]
    assert [isinstance(value, Scalar) and value.inline for value in values] == [True, False, False, False]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_line_ends_of_every_system(end: str) -> None:
    node = tree(end.join(["a: 1", "b: 2", ""]))
    assert isinstance(node, Table)
    assert node.entries[1].key.mark.line == 2


def test_duplicates_are_listed_and_the_first_counts() -> None:
    problems = Problems()
    node = read_tree("a: 1\na: 2\nb: {c: 3, c: 4}\n", "p.yaml", problems)
    assert [problem.slug for problem in problems.found()] == ["duplicate", "duplicate"]
    assert flat(node) == {"a": "1", "b": {"c": "3"}}


@pytest.mark.parametrize(
    ("text", "slug"),
    [
        ("a: &x 1\n", "anchor"),
        ("a: !!str 1\n", "tag"),
        ("a: !x 1\n", "tag"),
        ("? [a]\n: 1\n", "key-not-text"),
        ("a: {<<: 1}\n", "merge"),
        ("a: 1\n---\nb: 2\n", "second-document"),
        ("", "empty"),
        ("# only\n", "empty"),
        ("---\n...\n", "empty"),
        ("a: [1\n", "broken-yaml"),
        ("a: 'x\n", "broken-yaml"),
        ("a: @x\n", "broken-yaml"),
        ("a: \ud800\n", "unprintable"),
        ("a: \x00\n", "unprintable"),
        ("a:\n\tb: 1\n", "tab"),
    ],
)
def test_refused(text: str, slug: str) -> None:
    assert slug in refused(text)


def test_a_tab_between_words_is_harmless() -> None:
    assert flat(tree("a:\t1\n")) == {"a": "1"}


def test_an_alias_bomb_is_defused() -> None:
    rows = ["a0: &a0 [x, x, x, x, x, x, x, x, x]"]
    rows += [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 50)]
    assert set(refused("\n".join(rows))) == {"anchor", "alias"}


@pytest.mark.parametrize("text", ["[" * 100_000, "{a: " * 100_000, "- " * 100_000, "[" * 30 + "]" * 30])
def test_deep_nesting_is_refused_before_it_is_walked(text: str) -> None:
    with at_most(FEW_CALLS):
        assert refused(text) == ["too-deep"]


def test_block_nesting_is_refused() -> None:
    assert refused("".join(" " * i + "a:\n" for i in range(DEEPEST + 5))) == ["too-deep"]


def test_five_megabytes_are_refused_at_once() -> None:
    with at_most(FEW_CALLS):
        assert refused("a: " + "x" * 5_000_000) == ["too-large"]
        assert refused("a: 1\n" * 1_000_000) == ["too-large"]


def test_the_largest_text_takes_as_much_work_a_row_as_a_small_one() -> None:
    rows = LARGEST_TEXT // 12
    text = "".join(f"k{i:06}: v\n" for i in range(rows))
    with at_most(CALLS_A_ROW * rows):
        tree(text)


def test_a_very_long_list_of_problems_is_counted() -> None:
    problems = Problems()
    read_tree("a: 1\n" * 5000, "p.yaml", problems)
    found = problems.found()
    assert len(found) == MOST_LISTED + 1
    assert found[-1].slug == "and-more"
    assert "4799 more" in found[-1].read
