"""Pydantic's complaints, said for the person who wrote the file."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from itertools import pairwise
from typing import Any, NamedTuple, get_args

from pydantic import BaseModel, ValidationError

from longhold.base.errors import Problem
from longhold.intake.words import field_words
from longhold.model.structure import to_place

__all__ = ["problems_of", "whose"]

_WHOLE_FILE = "the file"
_OF_ONE_VALUE = {
    "literal_error",
    "greater_than",
    "less_than_equal",
    "finite_number",
    "float_parsing",
    "float_type",
}


class _Fault(NamedTuple):
    """One complaint with the model it belongs to and the field it blames ("" for the model as a whole)."""

    kind: str
    place: str
    value: Any
    message: str
    model: type[BaseModel]
    field: str


def problems_of(error: ValidationError, root: type[BaseModel], given: Mapping[str, Any]) -> list[Problem]:
    """Every complaint of a validation as a Problem, in the order of the fields.

    Parameters
    ----------
    error : what pydantic raised
    root : the model that was asked for
    given : the keys and values it was given
    """
    problems = []
    for raw in error.errors(include_url=False):
        if _is_about_another_branch(raw):
            continue
        fault = _fault(raw, root)
        allowed, do = _said(fault)
        shown = (
            fault.value if isinstance(fault.value, str | int | float) and fault.kind != "missing" else None
        )
        problems.append(
            Problem(fault.place, shown, allowed, " ".join(filter(None, [do, whose(raw["loc"], given)])))
        )
    return problems


def whose(loc: Sequence[Any], given: Mapping[str, Any]) -> str:
    """The joint and part that a path leads to, by their ids, since people do not count from zero.

    >>> whose(("joints", 0, "parts", 0, "size"), {"joints": [{"id": "J1", "parts": [{"id": "nail"}]}]})
    "(joint 'J1', part 'nail')"
    """
    named = []
    node: Any = given
    for step, after in pairwise(loc):
        try:
            node = node[step]
            if isinstance(after, int):
                called = node[after].get("id") or node[after].get("name")
                named += [f"{str(step).rstrip('s')} {called!r}"] if isinstance(called, str) else []
        except (AttributeError, IndexError, KeyError, TypeError):
            break
    return f"({', '.join(named)})" if named else ""


def _is_about_another_branch(raw: Any) -> bool:
    """Whether a complaint is about the single value where a list was given, or the other way round."""
    last = str(raw["loc"][-1]) if raw["loc"] else ""
    if to_place(raw["loc"]) == to_place(raw["loc"][:-1]) and last:
        return last.startswith("list[") != isinstance(raw["input"], list)
    return False


def _fault(raw: Any, root: type[BaseModel]) -> _Fault:
    loc = raw["loc"][:-1] if raw["loc"][-1:] == ("[key]",) else raw["loc"]
    model, field = root, ""
    inner: type[BaseModel] | None = root
    for step in loc:
        if isinstance(step, str) and inner is not None and step in inner.model_fields:
            model, field = inner, step
            inner = _model_in(inner.model_fields[step].annotation)
        elif isinstance(step, str) and inner is not None and raw["type"] == "extra_forbidden":
            model, field = inner, step
    message = str(raw["ctx"]["error"]) if raw["type"] == "value_error" else raw["msg"]
    place, value = to_place(loc), raw["input"]
    if isinstance(value, Mapping) and raw["type"] == "value_error":
        blamed = _blamed(message, value)
        if blamed:
            place, value = f"{place}.{blamed}".lstrip("."), value[blamed]
            message = message.removeprefix(f"{blamed} {value!r} ")
    return _Fault(raw["type"], place or _WHOLE_FILE, value, message, model, field)


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next(filter(None, map(_model_in, get_args(annotation))), None)


def _blamed(message: str, given: Mapping[str, Any]) -> str:
    """The field that a complaint about a whole table opens with or calls impossible, where it was given."""
    start = re.match(r"(?:no [a-z ]+ has )?([a-z_ ]+?)(?: '| \"| has |;|$)", message)
    name = start[1].replace(" ", "_") if start else ""
    return name if name in given else ""


def _said(fault: _Fault) -> tuple[str, str]:
    """What is allowed, and what to do."""
    special = _SPECIAL.get(fault.kind)
    if special is not None:
        return special(fault)
    of_an_entry = fault.kind in _OF_ONE_VALUE and not fault.place.endswith(fault.field)
    if not fault.field or fault.place.endswith("]") or of_an_entry:
        return _of_list_entry(fault), _near_choice(fault) if of_an_entry else ""
    quoted = f'Write "{fault.value}".' if fault.kind == "string_type" and _is_plain(fault.value) else ""
    return f"must be {field_words(fault.model, fault.field)}.", quoted or _near_choice(fault)


def _of_list_entry(fault: _Fault) -> str:
    if fault.kind in {"model_type", "dict_type"}:
        return "must be a table."
    return f"{re.sub('^Input should be ', 'must be ', fault.message)}."


def _is_plain(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _value(fault: _Fault) -> tuple[str, str]:
    bare = _is_plain(fault.value) and "unit" in fault.message
    return f"{fault.message}.", "A number without its unit is never guessed." if bare else ""


def _missing(fault: _Fault) -> tuple[str, str]:
    about = fault.model.model_fields[fault.field].description
    meaning = f" ({about})" if about else ""
    return f"is missing; give {field_words(fault.model, fault.field)}{meaning}.", ""


def _unknown(fault: _Fault) -> tuple[str, str]:
    names = list(fault.model.model_fields)
    close = get_close_matches(str(fault.field), names, n=2, cutoff=0.6)
    if close:
        return "is not a field that is known.", f"Did you mean {' or '.join(close)}?"
    return "is not a field that is known.", f"Known here are {', '.join(names)}."


def _misnamed(_: _Fault) -> tuple[str, str]:
    return "must hold only letters, digits, - and _, and start with a letter or digit.", ""


def _too_few(_: _Fault) -> tuple[str, str]:
    return "needs at least one entry.", ""


def _empty(_: _Fault) -> tuple[str, str]:
    return "may not be empty.", ""


_SPECIAL = {
    "string_too_short": _empty,
    "value_error": _value,
    "missing": _missing,
    "extra_forbidden": _unknown,
    "string_pattern_mismatch": _misnamed,
    "too_short": _too_few,
}


def _near_choice(fault: _Fault) -> str:
    if fault.kind != "literal_error" or not isinstance(fault.value, str):
        return ""
    choices = re.findall(r"'([^']+)'", fault.message)
    close = get_close_matches(fault.value.lower().replace(" ", "_"), choices, n=1)
    return f"Did you mean {close[0]}?" if close else ""
