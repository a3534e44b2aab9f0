"""Floor 9: what people hand in, turned into model objects, or refused with every reason at once."""

from longhold.intake.json_schema import schema
from longhold.intake.load import load, load_site, loads
from longhold.intake.starter_file import starter

__all__ = ["load", "load_site", "loads", "schema", "starter"]
