"""Tables of a life file, read by another library: what people typed stays text."""

import csv
import datetime
import io
import zipfile

import pytest

from longhold.assessment.line import assess
from longhold.documents.life_file import LifeFile, life_bytes
from longhold.model.reading import Reading


@pytest.mark.parametrize("note", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1+1", "\r=1+1"])
def test_no_cell_begins_as_a_formula_would(small_structure, note):
    day = datetime.date(2031, 5, 14)
    structure = small_structure()
    joint = structure.joints[0].id
    reading = Reading(joint=joint, date=day, measured="moisture", value=19.0, words="19 %", note=note)
    life = LifeFile(structure, "", assess(structure, draws=200), (reading,), (), (), (), (), (), day)
    with zipfile.ZipFile(io.BytesIO(life_bytes(life))) as archive:
        (name,) = (one for one in archive.namelist() if one.endswith("readings.csv"))
        (row,) = csv.DictReader(io.StringIO(archive.read(name).decode(), newline=""))
    (cell,) = (value for value in row.values() if value.endswith(note.strip()))
    assert cell == f"'{note}".replace("\r", "\n")
