"""The page on a planned visit: one HTML file that stands alone."""

from __future__ import annotations

import datetime
from typing import TYPE_CHECKING

from longhold.documents.decide_page import foot_words
from longhold.documents.decide_view import next_words
from longhold.documents.page import page
from longhold.documents.thresholds_view import turns_on
from longhold.documents.visit_view import plan_assumed, plan_lede, planned_rows, stop_rows

if TYPE_CHECKING:
    from longhold.inspect.plan import InspectionPlan

__all__ = ["plan_html"]


def plan_html(plan: InspectionPlan, *, stated_next: bool, file: str, as_of: datetime.date) -> str:
    """The page as a self-contained HTML file.

    Parameters
    ----------
    stated_next : whether the time to the next visit was stated
    file : name of the table of readings; blank without
    as_of : date that the page carries
    """
    return page(
        "visit.html.j2",
        foot_words(plan.structure.name, as_of, plan.version, plan.seed),
        [],
        plan.structure.units,
        found=plan,
        structure=plan.structure,
        file=file,
        as_of=as_of,
        lede=plan_lede(plan),
        rows=planned_rows(plan),
        stops=stop_rows(plan),
        next=next_words(plan.asked),
        assumed=plan_assumed(plan, stated_next=stated_next),
        turns_on=turns_on("plan", invented=plan.costs.invented),
    )
