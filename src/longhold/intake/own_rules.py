"""A rule pack of the user's own, named in a structure's code, put in its place as text."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from longhold.base.asked_on import told_here
from longhold.base.errors import InputError, Problem
from longhold.base.files import read_file
from longhold.codes.user_pack import check_user_pack

__all__ = ["with_own_rules"]


def with_own_rules(code: Mapping[str, Any], folder: Path, where: str) -> dict[str, Any]:
    """A described code whose pack is a file, with the file's text as its ``rules``; others stay as they are.

    Parameters
    ----------
    code : as parsed, not validated
    folder : that the file's name is relative to
    where : path of the code inside the input, for refusals

    Raises
    ------
    InputError : a file that cannot be read, or every fault of the pack in it
    """
    pack = code.get("pack")
    named = isinstance(pack, str) and pack.casefold().endswith(".toml")
    if code.get("rules") and not named:
        said = "stands only where code.pack names the file that it was read from."
        raise InputError(Problem(f"{where}.rules", None, said, "Leave it out."))
    if not isinstance(pack, str) or not named or code.get("rules"):
        return dict(code)
    try:
        text = read_file(folder / pack, "a rule pack", _see(pack))
    except InputError as error:
        raise InputError(
            *(
                Problem(f"{where}.pack", pack, f"names a file that {_cannot(one)}", one.do)
                for one in error.problems
            )
        ) from None
    _, faults = check_user_pack(text)
    if faults:
        raise InputError(*(Problem(f"{where}.pack", pack, f"{said}.", _see(pack)) for said in faults))
    return {**code, "rules": text}


def _see(pack: str) -> str:
    return told_here(command=f"See: longhold codes check {pack}", page="Put the pack right, then try again.")


def _cannot(problem: Problem) -> str:
    said = problem.allowed
    return "is not there." if said.startswith("there is no such file") else said[0].lower() + said[1:]
