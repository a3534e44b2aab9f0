"""Floor 4: what a designation on a label, drawing or certificate promises."""

from longhold.labels.explain import explain
from longhold.labels.read import read_label
from longhold.labels.reading import LabelError, LabelReading, Reading
from longhold.labels.spelling import known_designations
from longhold.labels.write import format_protection

__all__ = [
    "LabelError",
    "LabelReading",
    "Reading",
    "explain",
    "format_protection",
    "known_designations",
    "read_label",
]
