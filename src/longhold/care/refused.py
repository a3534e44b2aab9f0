"""What refused lines of a kept delivery would do, and which offers may take their place."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from longhold.inspect.consequence import Consequence, consequences
from longhold.inspect.delivery import Receipt
from longhold.inspect.instead import Instead, instead
from longhold.model.offer import Offer
from longhold.model.structure import Structure

__all__ = ["Refused", "refused"]


@dataclass(frozen=True)
class Refused:
    """What refused lines would do, and offers in place of those refused for their metal.

    Attributes
    ----------
    found : of each refused line
    other : offers that may take the place of one, least cost first; none where nothing was on offer
    """

    found: tuple[Consequence, ...]
    other: tuple[Instead, ...]


def refused(
    receipt: Receipt,
    structure: Structure,
    offers: Sequence[Offer],
    progress: Callable[[int, int], None],
    *,
    draws: int = 2000,
    seed: int = 1,
) -> Refused:
    """What refused lines of a delivery would do in a structure, and what may take their place.

    Parameters
    ----------
    progress : called with the steps that are done, and how many there are

    Raises
    ------
    InputError : as ``consequences`` and ``instead``
    """
    most = 2 if offers else 1
    found = consequences(
        *(receipt, structure),
        draws=draws,
        seed=seed,
        progress=lambda done, total: progress(done, most * total),
    )
    if not (found and offers):
        return Refused(tuple(found), ())
    other = instead(
        *(found, receipt.order, structure, offers),
        draws=draws,
        seed=seed,
        progress=lambda done, total: progress(total + done, most * total),
    )
    return Refused(tuple(found), tuple(other))
