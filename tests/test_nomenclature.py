"""One nomenclature page, held to the code: a number's name ends in a unit that the page lists."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PAGE = (ROOT / "docs" / "nomenclature.md").read_text(encoding="utf-8")
ENDINGS = tuple(re.findall(r"`(_[a-z0-9_]+)`", PAGE))
ROOMS = ("air", "wood", "metal", "strength", "forecast", "model")
NUMBERS = {"float", "ArrayLike", "Floats", "FloatArray", "Array", "NDArray[np.float64]"}
# symbols of a standard's own equation, shares, counts and unit vectors, which have no unit
WITHOUT_UNIT = re.compile(
    r"(ratio|share|factor|exponent|fraction|gravity|multiplier|count|chance|probabilit|median|low|high|least|most"
    r"|value|values|draws|outcome|cause|ordered|losses|weights|p10|p50|p90|latitude|longitude|lat|lon|tolerance"
    r"|expected|cautious|lowest|parallel|perpendicular|normal|correlation|energy|number|limit|spread|z|g|share_of_.*|ph_.*|.*_at|n|bound_z"
    r"|seaward|with_others|shape"
    # money, and what multiplies it
    r"|price|labor|visit_per|failure|unnoticed|spare|each_item|easy|moderate|hard|rate)"
)


def public(tree: ast.AST):
    for node in ast.iter_child_nodes(tree):
        if not str(getattr(node, "name", "")).startswith("_"):
            yield node
            yield from public(node)


def numeric_names(tree: ast.AST):
    for node in public(tree):
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            for argument in [*node.args.args, *node.args.kwonlyargs]:
                if argument.annotation is not None:
                    yield node.name, argument.arg, ast.unparse(argument.annotation)
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            for line in node.body:
                if isinstance(line, ast.AnnAssign) and isinstance(line.target, ast.Name):
                    yield node.name, line.target.id, ast.unparse(line.annotation)


def files():
    for room in ROOMS:
        yield from sorted((ROOT / "src" / "longhold" / room).glob("*.py"))


@pytest.mark.parametrize("path", list(files()), ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_public_numbers_carry_their_unit(path):
    wrong = []
    for owner, name, annotation in numeric_names(ast.parse(path.read_text(encoding="utf-8"))):
        if annotation.replace(" | None", "") not in NUMBERS or len(name) <= 3:
            continue
        if not f"_{name.removesuffix('_total')}".endswith(ENDINGS) and not WITHOUT_UNIT.search(name):
            wrong.append(f"{owner}({name}: {annotation})")
    assert wrong == []


def test_the_page_lists_every_ending_once():
    assert len(ENDINGS) == len(set(ENDINGS)) > 15
