"""Papers from a choice: schedule, order, submittal and site card, as PDF, sheet and page."""
