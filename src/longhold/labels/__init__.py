"""Floor 4: what a designation on a label, drawing or certificate promises."""

from longhold.labels.reading import LabelError, LabelReading, Reading

__all__ = ["LabelError", "LabelReading", "Reading"]
