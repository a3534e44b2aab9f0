"""Floor 4: what a designation on a label, drawing or certificate promises, and what a timber's tag tells."""

from longhold.labels.compare import compare_labels
from longhold.labels.demand import designations_for, read_demand
from longhold.labels.explain import explain
from longhold.labels.old_decks import possible_treatments
from longhold.labels.read import read_label
from longhold.labels.reading import LabelError, LabelReading, Reading
from longhold.labels.several import PartLabel, read_parts
from longhold.labels.spelling import known_designations
from longhold.labels.tags import TagError, TagReading, read_tag
from longhold.labels.write import format_protection

__all__ = [
    "LabelError",
    "LabelReading",
    "PartLabel",
    "Reading",
    "TagError",
    "TagReading",
    "compare_labels",
    "designations_for",
    "explain",
    "format_protection",
    "known_designations",
    "possible_treatments",
    "read_demand",
    "read_label",
    "read_parts",
    "read_tag",
]
