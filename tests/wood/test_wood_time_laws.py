import pytest

from longhold.base.errors import InputError
from longhold.base.marks import Mark
from longhold.wood.embedded import metal_bands
from longhold.wood.time_laws import law_exponent, laws


def test_every_metal_has_both_laws():
    assert laws() == ("linear", "power")
    for metal in metal_bands():
        assert law_exponent("linear", metal)[0] == 1.0
        assert 0.0 < law_exponent("power", metal)[0] <= 1.0
    assert law_exponent("power", "carbon_steel") == (0.5, "wood-time-law", Mark.MEMORY)
    with pytest.raises(InputError, match="linear of zinc"):
        law_exponent("cubic", "zinc")
