"""Refusals shared by this room: numbers out of range, names that are not known."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem, TableError

__all__ = ["all_scalar", "checked", "known", "plain", "unambiguous"]

_T = TypeVar("_T")

_SOME = 4


def checked(
    where: str,
    value: ArrayLike,
    least: float,
    most: float,
    unit: str,
    do: str = "",
) -> NDArray[np.float64]:
    """The value as an array of floats, every one finite and between least and most (both allowed).

    >>> float(checked("moisture_pct", 12, 0, 100, "%"))
    12.0
    """
    array = np.asarray(value, dtype=float)
    bad = ~((array >= least) & (array <= most) & np.isfinite(array))
    if bad.any():
        first = float(array[bad].flat[0])
        allowed = f"must be a number between {least:g} and {most:g} {unit}".rstrip()
        raise InputError(Problem(where, first, allowed if np.isfinite(most) else _at_least(least, unit), do))
    return array


def _at_least(least: float, unit: str) -> str:
    return f"must be a number, {least:g} {unit} or more".replace("  ", " ")


def all_scalar(*values: ArrayLike) -> bool:
    """Whether no value has an axis, so that its calculation can be printed."""
    return all(np.ndim(value) == 0 for value in values)


def plain(text: str) -> str:
    """A name as it is compared: lower case, letters and digits only.

    >>> plain("Douglas-fir (coast)") == plain("douglas fir  coast")
    True
    """
    return re.sub(r"[^a-z0-9]+", "", text.lower())


def known(
    where: str,
    text: str,
    what: str,
    names: Mapping[str, _T],
    *,
    spellings: Iterable[str],
    main: Iterable[str],
) -> _T:
    """The entry of a plain name, or a refusal with the nearest names.

    Parameters
    ----------
    where : path inside the input, for the refusal
    text : what was given
    what : what it should name, such as ``preservative``
    names : plain name -> entry
    spellings : the same names as people write them, among which the nearest are looked for
    main : the names of which a few are told where nothing is near
    """
    given = plain(text)
    found = names.get(given)
    if found is not None:
        return found
    spelled = {plain(name): name for name in spellings}
    near = [spelled[key] for key in difflib.get_close_matches(given, spelled, n=4, cutoff=0.7)]
    if not near and len(given) > 2:
        near = [name for key, name in spelled.items() if given in key or (len(key) > 3 and key in given)][:6]
    some = list(main)[:_SOME]
    told = f"Nearest are: {', '.join(near)}" if near else f"Known are {', '.join(some)} and more"
    every = told_here(
        command="longhold schema lists them all",
        page="the field offers them all",
        program="the schema lists them all",
    )
    do = f"{told}; {every}."
    raise InputError(Problem(where, text, f"no {what} of that name is known.", do))


def unambiguous(table: str, pairs: Iterable[tuple[str, _T]]) -> dict[str, _T]:
    """Plain name -> entry; refuses a spelling that would stand for two entries."""
    found: dict[str, _T] = {}
    for spelling, entry in pairs:
        if found.setdefault(plain(spelling), entry) != entry:
            raise TableError(f"wood/{table}.csv: {spelling!r} stands for two entries")
    return found
