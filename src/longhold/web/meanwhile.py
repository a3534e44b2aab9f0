"""What somebody typed while another saved: kept, and held against what stands there now."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from difflib import SequenceMatcher
from typing import Any, NamedTuple

from longhold.base.errors import InputError
from longhold.web.editing import cell_words, find_spot
from longhold.web.spoken import spoken

__all__ = ["Mine", "typed_meanwhile"]


class Mine(NamedTuple):
    """A cell that was typed into on a version that is no longer the newest.

    Attributes
    ----------
    where : path of the cell in the newest version; blank where its row is gone
    name : the cell as the page calls it
    typed : what was typed
    now : what stands there now
    """

    where: str
    name: str
    typed: str
    now: str


def typed_meanwhile(began: Mapping[str, Any], newest: Mapping[str, Any], where: str, typed: str) -> Mine:
    """A typed cell and what the newest version holds in its place, which is looked up by names.

    Parameters
    ----------
    began : the structure on which it was typed
    newest : as it is now
    where : path of the cell in the first
    typed : its text
    """
    name = spoken(began, where)
    try:
        spot = find_spot(where)
    except InputError:
        return Mine("", name, typed, "")
    path, old, new = "", began, newest
    for step in spot.record:
        if isinstance(step, int):
            found = _same(old, new, step)
            if found is None:
                return Mine("", name, typed, "")
            path, old, new = f"{path}[{found}]", old[step], new[found]  # type: ignore[index]
        else:
            if not (isinstance(new, Mapping) and step in new):
                return Mine("", name, typed, "")
            path = f"{path}.{step}".lstrip(".")
            old, new = old.get(step, {}), new[step]
    if spot.field is None:
        return Mine(path, name, typed, str(spot.record[-1]))
    return Mine(f"{path}.{spot.field.path}".lstrip("."), name, typed, cell_words(new, spot.field))


def _same(old: Any, new: Any, place: int) -> int | None:
    """Place of a row in another version of its list: by its id, or by what stands in it if it has none."""
    if not (isinstance(old, list) and isinstance(new, list) and place < len(old)):
        return None
    wanted = old[place].get("id") if isinstance(old[place], Mapping) else None
    if wanted is None:
        return _alike(old, new, place)
    places = [at for at, one in enumerate(new) if isinstance(one, Mapping) and one.get("id") == wanted]
    return places[0] if places else None


def _alike(old: Sequence[Any], new: Sequence[Any], place: int) -> int | None:
    """Place of a row without an id: rows that say the same keep their order, others stand between them."""
    before, after = ([json.dumps(one, sort_keys=True, default=str) for one in rows] for rows in (old, new))
    for tag, start, end, there, until in SequenceMatcher(None, before, after, autojunk=False).get_opcodes():
        if start <= place < end:
            found = there + place - start
            return found if tag in ("equal", "replace") and found < until else None
    return None
