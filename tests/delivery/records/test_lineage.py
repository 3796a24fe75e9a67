"""Who comes before whom, against walking each record's parents by hand."""

from hypothesis import given
from hypothesis import strategies as st

from evenfire.delivery.records.lineage import lineage

GRAPHS = st.integers(1, 8).flatmap(
    lambda count: st.fixed_dictionaries(
        {str(name): st.lists(st.integers(0, count).map(str), max_size=3, unique=True) for name in range(count)}
    )
)


def ancestors(graph: dict[str, list[str]], name: str) -> set[str]:
    """By walking; what is reached counts, also oneself."""
    reached: set[str] = set()
    waiting = list(graph[name])
    while waiting:
        at = waiting.pop()
        if at in graph and at not in reached:
            reached.add(at)
            waiting += graph[at]
    return reached


@given(GRAPHS)
def test_ancestors_and_cycles_are_those_that_walking_finds(graph: dict[str, list[str]]) -> None:
    found = lineage(graph)
    circular = {name for name in graph if name in ancestors(graph, name)}
    assert circular <= set(found.on_cycle)
    for name in found.on_cycle:
        # What stands between two circles is told with them.
        assert name in circular or ancestors(graph, name) & circular
    for name in graph:
        if not ancestors(graph, name) & circular and name not in circular:
            assert {other for other in graph if found.is_before(other, name)} == ancestors(graph, name)


def test_a_record_that_follows_a_circle_is_not_said_to_be_on_it() -> None:
    assert lineage({"a": ["b"], "b": ["a"], "c": ["a"], "d": ["c"]}).on_cycle == ("a", "b")


def test_what_is_not_among_the_records_is_before_nothing() -> None:
    assert not lineage({"a": ["x"]}).is_before("x", "a")


def test_a_long_history_is_walked_without_sinking() -> None:
    found = lineage({str(place): [str(place - 1)] if place else [] for place in range(5000)})
    assert found.is_before("0", "4999")
    assert not found.is_before("4999", "0")
