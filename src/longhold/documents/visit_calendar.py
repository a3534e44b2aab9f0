"""Visits as a calendar that other programs read (iCalendar, RFC 5545)."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Iterator
from typing import TYPE_CHECKING

from longhold.documents.visit_view import plan_lede, stop_rows
from longhold.documents.words import CAUTION

if TYPE_CHECKING:
    from longhold.inspect.plan import InspectionPlan

__all__ = ["visit_dates", "visits_ics"]

_MOST_VISITS = 200
_REMIND_DAYS = 14
_DAYS_A_YEAR = 365.25


def visits_ics(plan: InspectionPlan, as_of: datetime.date) -> bytes:
    """A calendar with this visit and one at each interval after it, up to the end of the design life.

    The same plan always gives the same bytes; a visit keeps its identity when it is planned again.

    Parameters
    ----------
    as_of : date that the calendar carries
    """
    from icalendar import Alarm, Calendar, Event

    name = plan.structure.name
    calendar = Calendar()
    calendar.add("prodid", "-//Longhold//Visits//EN")
    calendar.add("version", "2.0")
    calendar.add("x-wr-calname", f"Visits: {name}")
    stamp = datetime.datetime.combine(as_of, datetime.time(), datetime.UTC)
    for number, day in enumerate(visit_dates(plan)):
        event = Event()
        event.add("uid", f"{uuid.uuid5(uuid.NAMESPACE_URL, f'longhold:{name}:{day.isoformat()}')}")
        event.add("dtstamp", stamp)
        event.add("dtstart", day)
        event.add("dtend", day + datetime.timedelta(days=1))
        event.add("summary", f"Visit {name}")
        event.add("description", _this_visit(plan) if number == 0 else _LATER)
        event.add("transp", "TRANSPARENT")
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", f"Visit {name} in two weeks")
        alarm.add("trigger", datetime.timedelta(days=-_REMIND_DAYS))
        event.add_component(alarm)
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def visit_dates(plan: InspectionPlan) -> tuple[datetime.date, ...]:
    """Dates of this visit and of those after it: the next one, then up to the end of the design life."""
    return tuple(_dates(plan))


def _dates(plan: InspectionPlan) -> Iterator[datetime.date]:
    first, every = plan.asked.on, plan.asked.next_years
    yield first
    yield _later(first, every)
    count = 2
    while count * every <= plan.horizon_years and count < _MOST_VISITS:
        yield _later(first, count * every)
        count += 1


def _later(first: datetime.date, years: float) -> datetime.date:
    """The same day so many years later; 28 February where that year has no 29th."""
    if years == int(years):
        try:
            return first.replace(year=first.year + int(years))
        except ValueError:
            return first.replace(year=first.year + int(years), day=28)
    return first + datetime.timedelta(days=round(years * _DAYS_A_YEAR))


_LATER = f"Plan it anew with the readings of the visits before: what is worth reading changes. {CAUTION}"


def _this_visit(plan: InspectionPlan) -> str:
    lines = [plan_lede(plan)]
    for stop in stop_rows(plan):
        told = [f"read {row.part} {row.measured} (expected {row.expected})" for row in stop.readings]
        told.append("look")
        lines.append(f"{stop.number}. {', '.join(stop.ids)} {stop.name}: {'; '.join(told)}")
    return "\n".join([*lines, CAUTION])
