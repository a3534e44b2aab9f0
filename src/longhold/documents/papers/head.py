"""What every paper says of itself: what it is about, what it rests on, and that it is a forecast."""

from __future__ import annotations

from longhold.assessment.governing import governing_pack
from longhold.base.marks import Mark, weakest
from longhold.base.version import VERSION
from longhold.documents.figures import share
from longhold.documents.papers.deal import Deal
from longhold.documents.papers.model import Head
from longhold.documents.words import CAUTION

__all__ = ["head_of"]


def head_of(deal: Deal) -> Head:
    """The head of all papers of one choice."""
    structure, costs = deal.market.structure, deal.market.costs
    code = f"{governing_pack(structure.code).title}, edition {structure.code.edition}"
    life = f"{structure.design_life:g} years"
    made = f"Longhold {VERSION}, {deal.draws:,} draws, seed {deal.seed}"
    return Head(
        structure=structure.name,
        site=structure.site.name,
        code=code,
        facts=(
            ("Site", structure.site.name),
            ("Code", code),
            ("Asked for", f"{life} with a chance of {share(structure.target_chance)} at least"),
            ("Chosen", deal.choice.name),
            ("Date", deal.as_of.isoformat()),
            ("Made by", made),
        ),
        rests_on=_rests_on(deal),
        notes=tuple(note for note in (costs.note, structure.note) if note),
        caution=CAUTION,
        foot=f"{deal.as_of.isoformat()}, {made}",
        as_of=deal.as_of,
        us_paper=structure.units == "us",
    )


def _rests_on(deal: Deal) -> str:
    """The weakest mark of all; that of forecast and code apart, where prices are weaker."""
    mark = weakest([*(one.mark for one in deal.findings), *(part.code.mark for *_, part in deal.parts)])
    weak = f"{mark.in_words} [{mark.value}]"
    if not deal.market.costs.invented:
        return f"Of all that these papers rest on, the weakest are {weak}."
    made_up = f"{Mark.INVENTED.in_words} [{Mark.INVENTED.value}]"
    return f"Of all that these papers rest on, the weakest are prices and costs: {made_up}. Else: {weak}."
