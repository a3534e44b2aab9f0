"""Two versions held against each other, in words: what moved joint by joint, and why."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from longhold.assessment.bar import asked_words, bar_words
from longhold.assessment.ends import pits_left_out_words
from longhold.documents.figures import chance, percent, years, years_middle
from longhold.documents.moved_values import cause_words, input_words, value_words
from longhold.documents.words import mode_words, outcome_words, plural, verdict_and_clauses

if TYPE_CHECKING:
    from longhold.assessment.changes import Change
    from longhold.assessment.findings import JointFinding
    from longhold.assessment.moved import JointMove, Moved, Turn

__all__ = [
    "InputRow",
    "JointMoveView",
    "Line",
    "ShareRow",
    "came_and_went",
    "input_rows",
    "joint_views",
    "moved_lede",
]

_ENDS = {"p10": "early", "p50": "middle", "p90": "late"}


@dataclass(frozen=True)
class InputRow:
    """One changed input: what it is, its two values, and the joints that it moves."""

    what: str
    was: str
    now: str
    moves: str


@dataclass(frozen=True)
class Line:
    """One thing told of a joint, before and after."""

    what: str
    was: str
    now: str


@dataclass(frozen=True)
class ShareRow:
    """What one cause, all together, or nobody in particular has in the move.

    Attributes
    ----------
    cause : in words
    years : early end, middle and late end of the life that decides [years], signed
    chance, left : chance of the design life and strength left, in percentage points, signed
    """

    cause: str
    years: tuple[str, str, str]
    chance: str
    left: str


@dataclass(frozen=True)
class JointMoveView:
    """One joint that moved.

    Attributes
    ----------
    id, name, outcome : of the joint in the new version
    outcome_words : how it stands now, and how it stood where that is different
    bar : what it reaches now beside what is asked
    lines : what reads otherwise
    why : sentences
    ends : what the years in the rows are of
    rows : shares by cause, then all together
    small : whether it moves by less than is told
    """

    id: str
    name: str
    outcome: str
    outcome_words: str
    bar: str
    lines: tuple[Line, ...]
    why: tuple[str, ...]
    ends: str
    rows: tuple[ShareRow, ...]
    small: bool


def moved_lede(found: Moved) -> str:
    """The answer in a sentence or two."""
    views = joint_views(found)
    count = len(found.versions.joints)
    told = [view for view in views if not view.small]
    if not found.changes and not (found.added or found.removed or found.versions.renames):
        return "The two versions say the same: nothing changed, nothing moved."
    if not told and not (found.added or found.removed):
        return f"Something was changed, but no finding of {plural(count, 'joint')} moves by as much as shows."
    both = " in both versions" if found.added or found.removed else ""
    asked = f" ({asked_words(found.versions.new.target_chance)})"
    lines = [f"{len(told)} of {plural(count, 'joint')}{both} {'moves' if len(told) == 1 else 'move'}"]
    for outcome in ("fails", "refer", "holds"):
        turned = [
            one.after.joint.id
            for one in found.joints
            if one.after.outcome == outcome and one.before.outcome != outcome
        ]
        if turned:
            bar = asked if outcome == "fails" else ""
            lines.append(f"{', '.join(turned)}: now {outcome_words(outcome).lower()}{bar}")
    for some, word in ((found.added, "added"), (found.removed, "removed")):
        if some:
            lines.append(f"{plural(len(some), 'joint')} {word}")
    return "; ".join(lines) + "."


def input_rows(found: Moved) -> tuple[InputRow, ...]:
    """Every changed input, with the joints that it moves."""
    units = found.versions.new.units
    small = {view.id for view in joint_views(found) if view.small}
    return tuple(
        InputRow(
            input_words(change), *value_words(change, units), _moves(change, found.moved_by(change), small)
        )
        for change in found.changes
    )


def came_and_went(found: Moved) -> tuple[InputRow, ...]:
    """Every joint that is in one version only, beside the inputs that differ."""
    return tuple(
        InputRow(f"{joint.id}, the joint", *told, "itself alone")
        for some, is_there_now in ((found.removed, False), (found.added, True))
        for joint in (one.joint for one in some)
        for there in [f"{joint.name}, {plural(len(joint.parts), 'part')}"]
        for told in [("not there", there) if is_there_now else (there, "not there")]
    )


def _moves(change: Change, ids: Sequence[str], small: Collection[str]) -> str:
    """The joints that it moves, those whose move is too small to be told named as such."""
    told = ", ".join(one for one in ids if one not in small)
    less = ", ".join(one for one in ids if one in small)
    if ids:
        return "; ".join(one for one in (told, less and f"{less} by less than is told") if one)
    return "nothing" if change.cause else "nothing: no finding hangs on it"


def joint_views(found: Moved) -> tuple[JointMoveView, ...]:
    """The joints that moved, those whose outcome turned first."""
    views = [_view(move, found) for move in found.joints if move.moved]
    turned = {
        move.after.joint.id for move in found.joints if any(one.what == "outcome" for one in move.turns)
    }
    return tuple(sorted(views, key=lambda view: (view.small, view.id not in turned)))


def _life(found: Moved) -> tuple[float, float]:
    return found.versions.old.design_life, found.versions.new.design_life


def _view(move: JointMove, found: Moved) -> JointMoveView:
    lines = tuple(line for line in _lines(move, _life(found)) if line.was != line.now)
    joint = move.after.joint
    was, now = (outcome_words(one.outcome).lower() for one in (move.before, move.after))
    return JointMoveView(
        id=joint.id,
        name=joint.name,
        outcome=move.after.outcome,
        outcome_words=now if was == now else f"{was} → {now}",
        bar=bar_words(move.after, found.versions.new),
        lines=lines,
        why=tuple(_why(move, found.changes)),
        ends=_end_name(move.after),
        rows=tuple(_rows(move, found.changes)),
        small=not lines,
    )


def _end_name(finding: JointFinding) -> str:
    return "Strength" if finding.decides == "strength" else "Protection"


def _lines(move: JointMove, lives: tuple[float, float]) -> Iterator[Line]:
    before, after = move.before, move.after
    turns = {one.what: one for one in move.turns}
    if "decides" in turns:
        yield Line("What decides", *(f"{_end_name(one).lower()} ends" for one in (before, after)))
    first = ("strength", "protection") if after.decides == "strength" else ("protection", "strength")
    for name in first:
        limit = move.up_to_years[name == "strength"]
        bands = [getattr(one, f"{name}_years") for one in (before, after)]
        told = [
            f"{years(band, limit)} (middle {years_middle(band, limit)})" if band else "not computed"
            for band in bands
        ]
        yield Line(f"{name.capitalize()} ends after", *told)
        chances = [getattr(one, f"{name}_chance") for one in (before, after)]
        head, *sure = _with_lives(f"Chance that {name} lasts {{}}", chances, lives)
        pits = [
            pits_left_out_words(bool(one.accepted) and known is not None)
            for one, known in zip((before, after), chances, strict=True)
        ]
        yield Line(head, *(f"{told}{left}" for told, left in zip(sure, pits, strict=True)))
    yield Line("Strength left at the design life", *(percent(one.strength_ratio) for one in (before, after)))
    for what, head in (("code", "The code says"), ("face", "Decided by"), ("mode", "Gives way by")):
        if what in turns:
            yield Line(head, *_turn_words(turns[what]))


def _with_lives(
    head: str, chances: Sequence[float | None], lives: tuple[float, float]
) -> tuple[str, str, str]:
    was, now = (chance(one) for one in chances)
    if lives[0] == lives[1] or was == now:
        return head.format(f"{lives[1]:g} years"), was, now
    was, now = (
        f"{told} of {life:g} years" if one is not None else told
        for told, one, life in zip((was, now), chances, lives, strict=True)
    )
    return head.format("the design life"), was, now


def _turn_words(turn: Turn) -> tuple[str, str]:
    was, now = (_reading(turn.what, words) for words in (turn.was, turn.now))
    return was, now


def _reading(what: str, words: Sequence[str]) -> str:
    if not words:
        return "not computed"
    if what == "code":
        return verdict_and_clauses(words[0], words[1:])
    if what == "mode":
        return mode_words(*words)
    return ", ".join(words)


def _rows(move: JointMove, changes: Sequence[Change]) -> Iterator[ShareRow]:
    if len(move.shares) > 1:
        for share in move.shares:
            yield _row(cause_words(share.causes, move.after.joint.id, changes), share.moves, move)
        if any(_sized(name, value) != "0" for name, value in move.left_over.items()):
            yield _row("only together, in no single change", move.left_over, move)
    whole = {
        name: now - was for name, (was, now) in move.measures.items() if was is not None and now is not None
    }
    yield _row("all together", whole, move)


def _row(cause: str, moves: dict[str, float], move: JointMove) -> ShareRow:
    decides = move.after.decides
    early, middle, late = (_signed(moves.get(f"{decides}_years_{end}", 0.0), 1) for end in _ENDS)
    points = [_signed(100 * moves.get(name, 0.0), 0) for name in (f"{decides}_chance", "strength_ratio_p50")]
    return ShareRow(cause, (early, middle, late), *points)


def _signed(value: float, places: int) -> str:
    told = f"{value:+.{places}f}"
    return "0" if float(told) == 0 else told.replace("-", "−")


def _why(move: JointMove, changes: Sequence[Change]) -> Iterator[str]:
    named = {share.causes: cause_words(share.causes, move.after.joint.id, changes) for share in move.shares}
    if move.way == "not apart":
        yield (
            f"{' and '.join(named.values())}: made one without the other they are no joint that can be, so "
            "what each has in it is not told."
        )
    elif len(named) == 1:
        yield f"All of it comes from {next(iter(named.values()))}."
    else:
        yield from _sizes(move, named)
    if len(named) > 1:
        for turn in move.turns:
            yield _turn_why(turn.what, move, named)


def _sizes(move: JointMove, named: dict[tuple[str, ...], str]) -> Iterator[str]:
    name = next((one for one in _told_first(move) if one in move.measures), None)
    if name is None or not any(name in share.moves for share in move.shares):
        return
    sizes = sorted(move.shares, key=lambda share: -abs(share.moves.get(name, 0.0)))
    told = [(named[one.causes], _sized(name, one.moves[name])) for one in sizes if name in one.moves]
    moving = [f"{cause} {size}" for cause, size in told if size != "0"]
    still = [cause for cause, size in told if size == "0"]
    if not moving:
        return
    was, now = move.measures[name]
    if was is None or now is None:
        return
    left = _sized(name, move.left_over.get(name, 0.0))
    rest = f"; only together, in no single change, {left}" if left != "0" else ""
    whole = _sized(name, now - was)
    if len(moving) == 1 and not rest:
        only = next(cause for cause, size in told if size != "0")
        yield f"{_measure_words(name)} {whole}, all of it from {only}."
    else:
        yield f"{_measure_words(name)} {whole}: {', '.join(moving)}{rest}."
    if still:
        yield f"Without effect on it: {', '.join(still)}."
    gap = now - was - sum(one.alone.get(name, 0.0) for one in move.shares)
    if move.way == "every order" and _sized(name, gap) != "0":
        more = "more" if gap > 0 else "less"
        size = _sized(name, abs(gap)).lstrip("+")
        start = f"Together they give {size} {more} than each by itself would"
        yield f"{start}: that is shared out over every order of making them."


def _told_first(move: JointMove) -> tuple[str, ...]:
    decides = move.after.decides
    ages = tuple(f"{decides}_years_{end}" for end in ("p50", "p10", "p90"))
    return (*ages, f"{decides}_chance", "strength_ratio_p50", "strength_ratio_p10")


def _measure_words(name: str) -> str:
    kind, _, end = name.rpartition("_")
    if kind.endswith("_years"):
        what = "strength" if kind.startswith("strength") else "protection"
        return f"The {_ENDS[end]}{'' if end == 'p50' else ' end'} of the years until {what} ends moves by"
    if name.endswith("_chance"):
        return "The chance of the design life moves by"
    return "The strength left at the design life moves by"


def _sized(name: str, value: float) -> str:
    if "_years" in name:
        told = _signed(value, 1)
        return told if told == "0" else f"{told} years"
    told = _signed(100 * value, 0)
    return told if told == "0" else f"{told} percentage points"


_TURNED = {
    "outcome": "That the outcome turns",
    "code": "What the code says now",
    "face": "Which part and face decide",
    "mode": "How it gives way",
    "decides": "Which end decides",
}


def _turn_why(what: str, move: JointMove, named: dict[tuple[str, ...], str]) -> str:
    told = [(named[share.causes], one) for share in move.shares for one in share.told if one.what == what]
    enough = [cause for cause, one in told if one.enough]
    needed = [cause for cause, one in told if one.needed]
    start = _TURNED[what]
    if len(enough) == 1 and set(needed) <= set(enough):
        return f"{start} comes from {enough[0]}."
    if enough:
        return f"{start} would follow from each of these by itself: {', '.join(enough)}."
    if len(needed) > 1:
        return f"{start} takes {' and '.join(needed)} together."
    if needed:
        return f"{start} takes {needed[0]}, with others of the changes."
    return f"{start} comes from several changes together."
