"""Packs and editions as a person names them: ``us_irc:2021,us_ibc``, or a file of their own."""

from __future__ import annotations

from pathlib import Path

from longhold.base.errors import InputError, Problem
from longhold.codes.packs import list_packs
from longhold.codes.rules import Pack
from longhold.codes.user_pack import read_user_pack

__all__ = ["packs_asked", "text_of"]


def packs_asked(
    text: str, *, where: str = "--packs", any_kind: bool = False
) -> list[tuple[Pack, tuple[str, ...]]]:
    """Packs, each with the editions that are asked: the one named, else all.

    Parameters
    ----------
    where : what the text was given as
    any_kind : whether packs that only classify will do, which give no verdict on a part

    Raises
    ------
    InputError : for a pack, a file or an edition that is not there

    >>> [(pack.id, editions) for pack, editions in packs_asked("us_irc:2021")]
    [('us_irc', ('2021',))]
    """
    found = []
    for word in (one.strip() for one in text.split(",")):
        if not word:
            continue
        name, edition = _split(word)
        pack = (
            read_user_pack(text_of(Path(name), where), name)
            if _is_file(name)
            else _pack(name, where, any_kind)
        )
        if edition:
            pack.rules_in(edition)  # refuses an edition that the pack does not have
        found.append((pack, (edition,) if edition else pack.editions))
    if not found:
        raise InputError(Problem(where, text, "names no pack.", "Such as us_irc,us_ibc:2021."))
    return found


def text_of(file: Path, where: str) -> str:
    """Text of a file.

    Raises
    ------
    InputError : it cannot be read
    """
    try:
        return file.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not text in UTF-8"
        raise InputError(Problem(where, str(file), f"cannot be read: {why}.")) from None


def _split(word: str) -> tuple[str, str]:
    """Name and edition; a path may hold a colon of its own."""
    if _is_file(word):
        return word, ""
    name, _, edition = word.rpartition(":")
    return (name, edition) if name else (edition, "")


def _is_file(name: str) -> bool:
    return name.casefold().endswith(".toml")


def _pack(name: str, where: str, any_kind: bool) -> Pack:
    packs = list_packs()
    if name in packs and (any_kind or "compliance" in packs[name].checks):
        return packs[name]
    known = ", ".join(one.id for one in packs.values() if any_kind or "compliance" in one.checks)
    why = "gives no verdict on a part; choose" if name in packs else "must be one of"
    raise InputError(Problem(where, name, f"{why} {known}.", "Or give a file of your own, town.toml."))
