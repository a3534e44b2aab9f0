"""The rules that govern a structure: a pack held here, or the user's own."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from longhold.base.errors import InputError, Problem
from longhold.codes.packs import list_packs, load_pack
from longhold.codes.rules import Pack
from longhold.codes.user_pack import read_user_pack
from longhold.model.structure import Code

__all__ = ["OWN_RULES", "code_problems", "governing_pack", "is_own"]

OWN_RULES = "your own rules"


def is_own(code: Code) -> bool:
    """Whether the rules are the user's own and not of a pack held here."""
    return bool(code.rules)


def governing_pack(code: Code) -> Pack:
    """The pack that a structure's code names; the title of a user's own says whose it is.

    Raises
    ------
    InputError : no such pack, or a pack of the user's that cannot be used

    >>> governing_pack(Code(pack="us_irc", edition="2021")).title
    'International Residential Code'
    """
    return _own_pack(code.rules, code.pack) if is_own(code) else load_pack(code.pack)


def code_problems(code: Code) -> list[Problem]:
    """What keeps a structure's code from governing; empty where nothing does."""
    return list(_problems(code))


def _problems(code: Code) -> Iterator[Problem]:
    if is_own(code):
        try:
            pack = governing_pack(code)
        except InputError as error:
            yield from (Problem("code.pack", code.pack, one.allowed, one.do) for one in error.problems)
            return
    else:
        known = {name: one for name, one in list_packs().items() if one.kind == "code"}
        if code.pack not in known:
            held = list_packs().get(code.pack)
            why = f"is {_KINDS[held.kind]}, and governs nothing; " if held else ""
            do = "Or name the file of a pack of your own, such as town.toml."
            yield Problem("code.pack", code.pack, f"{why}must be one of {', '.join(sorted(known))}.", do)
            return
        pack = known[code.pack]
    if is_own(code) and (pack.kind != "code" or "compliance" not in pack.checks):
        said = f"is {_KINDS[pack.kind]}" if pack.kind != "code" else "only classifies"
        do = 'To govern, a pack has kind = "code" and checks = ["compliance"].'
        yield Problem("code.pack", code.pack, f"{said}, so it cannot govern.", do)
    elif code.edition not in pack.editions:
        yield Problem("code.edition", code.edition, f"{code.pack} has {', '.join(pack.editions)}.")


_KINDS = {"code": "a code", "standard": "a private or product standard", "guidance": "guidance"}


@lru_cache(maxsize=16)
def _own_pack(text: str, name: str) -> Pack:
    pack = read_user_pack(text, name)
    return replace(pack, title=f"{pack.title} ({OWN_RULES})")
