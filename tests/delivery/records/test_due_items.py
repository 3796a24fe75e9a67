from datetime import date

import pytest

from evenfire.delivery.records.database import Store
from evenfire.delivery.records.due_items import Every, due_items_of, end_due_item, set_due_item
from evenfire.errors import BadRequest
from tests.delivery.records.store_examples import at_work, named_id


def test_an_item_is_there_once_for_a_boiler_and_the_newest_word_counts(store: Store) -> None:
    boiler = at_work(store).boiler.id
    first = set_due_item(
        store, boiler=boiler, item="high limit proved", every=Every(months=6), whose_rule="insurer", last_done_on=None
    )
    second = set_due_item(
        store,
        boiler=boiler,
        item=" high limit proved ",
        every=Every(days=90),
        whose_rule="company",
        last_done_on=date(2026, 3, 2),
    )
    assert first.id == second.id
    assert due_items_of(store) == due_items_of(store, boiler) == (second,)
    assert (second.every, second.whose_rule) == (Every(days=90), "company")
    assert due_items_of(store, named_id("elsewhere")) == ()


def test_an_item_that_is_ended_is_gone_until_it_is_set_again(store: Store) -> None:
    boiler = at_work(store).boiler.id
    item = set_due_item(
        store, boiler=boiler, item="gauge glass", every=Every(days=1), whose_rule="company", last_done_on=None
    )
    end_due_item(store, item.id)
    assert due_items_of(store) == ()
    with pytest.raises(BadRequest, match="nothing that comes due"):
        end_due_item(store, named_id("none"))
    again = set_due_item(
        store, boiler=boiler, item="gauge glass", every=Every(days=2), whose_rule="company", last_done_on=None
    )
    assert due_items_of(store) == (again,)


def test_an_item_has_one_interval_a_name_a_rule_and_a_boiler(store: Store) -> None:
    boiler = at_work(store).boiler.id
    for days, months in ((None, None), (1, 1), (0, None), (None, -6)):
        with pytest.raises(BadRequest, match="a number of days or a number of months"):
            Every(days=days, months=months)
    for item, rule in (("", "company"), ("gauge glass", " ")):
        with pytest.raises(BadRequest, match="has a name"):
            set_due_item(store, boiler=boiler, item=item, every=Every(days=1), whose_rule=rule, last_done_on=None)
    with pytest.raises(BadRequest, match="no boiler"):
        set_due_item(
            store, boiler=named_id("none"), item="x", every=Every(days=1), whose_rule="company", last_done_on=None
        )
    assert due_items_of(store) == ()
