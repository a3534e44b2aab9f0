"""Rule packs as plain objects: the packs that are held, and the rules of one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from longhold.codes.counts import count_marks

if TYPE_CHECKING:
    from longhold.codes.rules import Pack

__all__ = ["pack_json", "pack_rules_json"]


def pack_json(pack: Pack) -> dict[str, Any]:
    """What a pack is, with its rules counted by mark."""
    return {
        "id": pack.id,
        "title": pack.title,
        "kind": pack.kind,
        "jurisdictions": list(pack.jurisdictions),
        "editions": list(pack.editions),
        "rules": {mark.value: count for mark, count in count_marks([pack]).items()},
    }


def pack_rules_json(pack: Pack) -> dict[str, Any]:
    """The same with every rule."""
    rules = [
        {
            "id": rule.id,
            "kind": rule.kind,
            "editions": list(rule.editions),
            "clause": dict(rule.clause),
            "says": rule.says,
            "source": rule.source,
            "mark": rule.mark.value,
        }
        for rule in pack.rules
    ]
    return pack_json(pack) | {"rule_records": rules}
