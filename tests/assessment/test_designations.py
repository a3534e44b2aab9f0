from __future__ import annotations

from longhold.assessment.designations import count_designations, designations_for_part
from longhold.base.marks import Mark
from longhold.model.parts import Part

NAIL = Part(id="n", kind="nail", size="16d common", label="ASTM A153")
HANGER = Part(id="h", kind="hanger", size="18 ga", label="G90")
BOLT = Part(id="b", kind="bolt", size="1/2 in x 6 in", label="ASTM A153")


def words(part: Part) -> list[str]:
    return [one.words for one in designations_for_part(part)]


def test_sheet_and_fasteners_are_offered_what_is_made_for_them() -> None:
    assert "ASTM A653 G185" in words(HANGER)
    assert not any("A653" in one or "EN 10346" in one for one in words(NAIL))
    assert not any("B695" in one or "Fe/Zn" in one for one in words(HANGER))
    assert "ISO 10684" in words(BOLT)
    assert "ISO 10684" not in words(NAIL)


def test_the_class_follows_the_size() -> None:
    assert "ASTM A153 class D" in words(NAIL)
    assert "ASTM A153 class C" in words(BOLT)


def test_they_run_from_least_to_most_protective() -> None:
    for part in (NAIL, HANGER, BOLT):
        found = designations_for_part(part)
        assert [one.rank for one in found] == sorted(one.rank for one in found)
        assert found[0].words == "plain steel"
        assert found[-1].words == "stainless 2507"
    assert words(HANGER).index("ASTM A653 G90") < words(HANGER).index("ASTM A653 G185")
    assert words(NAIL).index("stainless 410") < words(NAIL).index("stainless 304")
    assert words(NAIL).index("stainless 304") < words(NAIL).index("stainless 316")


def test_every_designation_is_offered_once() -> None:
    assert len(set(words(NAIL))) == len(words(NAIL))


def test_designations_are_counted_by_mark() -> None:
    found = count_designations()
    assert found[Mark.VERIFIED] > 0
    assert Mark.INVENTED not in found
