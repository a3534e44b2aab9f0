"""How faces lie: what is usual for every part, and what cannot be is refused by name."""

from __future__ import annotations

from typing import get_args

import pytest
from pydantic import ValidationError

from longhold.model.facing import FACE_WORDS, FaceKind, Facing, facing_clash, unwashed, usual_facing
from longhold.model.sizes import PartKind
from longhold.model.structure import Joint
from longhold.model.surroundings import PlaceName, places

OPEN, COVER = places()["open_to_rain"], places()["under_cover"]


def joint(place="open_to_rain", kind="nail", faces=None, **told):
    part = {"id": "p", "kind": kind, "label": "HDG", "size": "16d common" if kind == "nail" else "18 ga"}
    part |= {} if faces is None else {"faces": faces}
    return Joint.model_validate(
        {"id": "J", "name": "J", "place": place, "main": "t", "parts": [part], **told}
    )


@pytest.mark.parametrize("way", ["above", "side"])
@pytest.mark.parametrize("kind", get_args(PartKind))
def test_every_part_has_a_usual_way_to_lie_with_a_reason(kind, way):
    usual = usual_facing(kind, OPEN, way)
    assert usual.kinds
    assert usual.because
    assert not usual.given
    assert all(not facing_clash(kind, one, OPEN, way) for one in usual.kinds)


@pytest.mark.parametrize("kind", get_args(PartKind))
def test_under_cover_every_part_is_sheltered(kind):
    assert usual_facing(kind, COVER, "above").kinds == ("sheltered",)


@pytest.mark.parametrize("faces", get_args(FaceKind))
def test_a_part_open_to_rain_may_lie_in_any_way(faces):
    assert joint(kind="hanger", faces=faces).parts[0].faces == faces
    assert FACE_WORDS[faces]


@pytest.mark.parametrize("faces", ["open", "sky_facing"])
def test_a_washed_face_under_cover_is_refused_with_what_to_do(faces):
    with pytest.raises(ValidationError, match=f"part 'p' has faces = \"{faces}\".*leave faces out"):
        joint("under_cover", faces=faces)
    assert joint("under_cover", faces="wind_sheltered_underside").parts[0].faces


@pytest.mark.parametrize(
    "place", [name for name in get_args(PlaceName) if places()[name].air_face not in ("open", "sheltered")]
)
def test_faces_mean_nothing_out_of_outdoor_air(place):
    assert joint(place).parts[0].faces is None
    with pytest.raises(ValidationError, match="leave faces out"):
        joint(place, faces="wall")


@pytest.mark.parametrize(
    ("rain_from", "faces"),
    [
        ("side", "sky_facing"),
        ("above", "wall"),
        ("above", "underside"),
        ("above", "wind_sheltered_underside"),
    ],
)
def test_a_head_lies_as_the_face_that_the_metal_enters(rain_from, faces):
    with pytest.raises(ValidationError, match="its head lies on"):
        joint(rain_from=rain_from, faces=faces)
    assert joint(kind="hanger", rain_from=rain_from, faces=faces).parts[0].faces == faces


def test_only_faces_that_rain_never_reaches_count_as_unwashed():
    assert unwashed(Facing(("underside", "sheltered"), "", given=False))
    assert not unwashed(Facing(("wall",), "", given=False))
    assert not unwashed(Facing(("underside", "wall"), "", given=False))
