"""Floor 9: predicted against expected, for any check file a user brings."""

from longhold.validate.area import Detail, Skipped, ValidationResult
from longhold.validate.run import AREAS, validate_file

__all__ = ["AREAS", "Detail", "Skipped", "ValidationResult", "validate_file"]
