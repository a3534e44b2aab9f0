"""The command ``validate``: its help names the columns that each area's file needs."""

import re

from longhold.cli.checking import COLUMNS
from longhold.validate.run import AREAS


def test_the_help_names_the_columns_of_every_area():
    assert list(COLUMNS) == list(AREAS)
    for name, area in AREAS.items():
        told = re.sub(r" \([^)]*\)", "", COLUMNS[name]).split(";")[0].split(", ")
        assert told == list(area.columns)
