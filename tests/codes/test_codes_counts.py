from __future__ import annotations

from longhold.base.marks import Mark
from longhold.codes.counts import count_marks, list_not_evaluated, rules_by_mark
from longhold.codes.packs import list_packs


def test_a_borrowed_rule_counts_once_in_all_and_once_in_each_pack() -> None:
    packs = list_packs()
    apart = sum(sum(count_marks([packs[name]]).values()) for name in ("eu_ec5", "de_ec5_na"))
    together = sum(count_marks([packs["eu_ec5"], packs["de_ec5_na"]]).values())
    shared = {rule.id for rule in packs["eu_ec5"].rules} & {rule.id for rule in packs["de_ec5_na"].rules}
    assert apart - together == len(shared) > 0


def test_marks_come_strongest_first_and_none_is_invented() -> None:
    found = count_marks()
    assert list(found) == [mark for mark in Mark if mark in found]
    assert Mark.INVENTED not in found
    assert found == rules_by_mark(rule for pack in list_packs().values() for rule in pack.rules)


def test_what_is_not_evaluated_is_in_no_pack() -> None:
    ids = {rule.id for pack in list_packs().values() for rule in pack.rules}
    assert list_not_evaluated()
    assert ids.isdisjoint(one.id for one in list_not_evaluated())
