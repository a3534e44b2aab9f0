"""What the yield equations need of a connection, in inches and psi, or every reason why there is nothing."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from longhold.base.errors import InputError, Problem
from longhold.base.quantities import N_PER_LB
from longhold.strength.connection import DowelConnection, SteelSide, WoodMember
from longhold.strength.nds_data import (
    fastener_rules,
    fe_steel_psi,
    fe_wood_psi,
    fyb_psi,
    specific_gravity_range,
)
from longhold.strength.nds_dowel import reduction_record
from longhold.strength.nds_sizes import lag_screw, wood_screw

__all__ = [
    "MM_PER_IN",
    "N_PER_LB",
    "PSI_PER_MPA",
    "Prepared",
    "below_minimum_penetration",
    "prepare",
]

MM_PER_IN = 25.4
PSI_PER_MPA = MM_PER_IN * MM_PER_IN / N_PER_LB


@dataclass(frozen=True)
class Prepared:
    """What the yield equations need, in inches and psi, all as new.

    Attributes
    ----------
    nominal_in, effective_in : D, and D or Dr [in]
    main_bearing_in, side_bearing_in : bearing lengths lm, ls [in]
    penetration_in, least_penetration_in : in the member that holds the point [in]; None if it runs through
    fem_psi, fes_psi, fyb_psi : strengths for the nominal diameter [psi]
    theta_main_deg, theta_side_deg : angles of load to grain [degrees], 0 for steel
    legs : legs that share the load
    """

    nominal_in: float
    effective_in: float
    main_bearing_in: float
    side_bearing_in: float
    penetration_in: float | None
    least_penetration_in: float | None
    fem_psi: float
    fes_psi: float
    fyb_psi: float
    theta_main_deg: float
    theta_side_deg: float
    legs: int

    @property
    def is_short(self) -> bool:
        """Whether the point reaches less deep than the equations ask for."""
        if self.penetration_in is None or self.least_penetration_in is None:
            return False
        return self.penetration_in < self.least_penetration_in - 1e-6


def below_minimum_penetration(connection: DowelConnection) -> bool:
    """Whether the fastener reaches less deep than the equations ask for (6 D nails and screws, 4 D lags).

    Raises InputError for a connection that cannot be computed at all.

    >>> band = WoodMember(38.1, 0.50, 90.0)
    >>> below_minimum_penetration(DowelConnection("lag_screw", 12.7, band, band, length_mm=76.2))
    True
    """
    return prepare(connection, accept_short=True).is_short


def prepare(connection: DowelConnection, *, accept_short: bool = False) -> Prepared:
    """Lengths, diameters and strengths of a connection as new, or every reason why there are none.

    Bearing lengths follow the printed tables: half of the tip does not bear (nails and wood screws
    lm = p - D), and a main member thinner than the reach limits lm.

    Parameters
    ----------
    connection : the connection
    accept_short : compute even below the least penetration, for a ratio to new and nothing else

    Raises
    ------
    InputError : with all problems found
    """
    problems = list(_plain_problems(connection))
    if problems:
        raise InputError(*problems)
    nominal = _inches(connection.diameter_mm)
    rules = fastener_rules(connection.kind)
    main_bearing, side_bearing, penetration = (
        _through(connection) if rules["through"] else _pointed(connection, _tip_in(connection))
    )
    least = None if rules["least_penetration_d"] is None else rules["least_penetration_d"] * nominal
    fes, theta_side = _side_strength(connection.side, nominal)
    prepared = Prepared(
        nominal_in=nominal,
        effective_in=_effective_in(connection),
        main_bearing_in=main_bearing,
        side_bearing_in=side_bearing,
        penetration_in=penetration,
        least_penetration_in=None if penetration is None else least,
        fem_psi=float(fe_wood_psi(connection.main.g, nominal, connection.main.angle_deg)),
        fes_psi=fes,
        fyb_psi=_fyb(connection, nominal),
        theta_main_deg=connection.main.angle_deg,
        theta_side_deg=theta_side,
        legs=2 if connection.kind == "staple" else 1,
    )
    if prepared.is_short and not accept_short:
        raise InputError(_short_problem(connection, prepared))
    return prepared


def _plain_problems(connection: DowelConnection) -> Iterator[Problem]:
    yield from _number_problems(connection)
    yield from _wood_problems("main", connection.main)
    if isinstance(connection.side, WoodMember):
        yield from _wood_problems("side", connection.side)
    if connection.kind == "staple" and connection.fyb_mpa is None:
        yield Problem(
            "fyb", None, "the NDS gives staples no bending yield strength.", "Give it from a test report."
        )
    if fastener_rules(connection.kind)["through"]:
        if connection.penetration_mm is not None:
            yield Problem(
                "penetration", connection.penetration_mm, f"a {connection.kind} passes through every member."
            )
    elif (connection.length_mm is None) == (connection.penetration_mm is None):
        yield Problem("length", connection.length_mm, "give either the length or the penetration, not both.")


def _number_problems(connection: DowelConnection) -> Iterator[Problem]:
    optional = {
        "length": connection.length_mm,
        "penetration": connection.penetration_mm,
        "root_diameter": connection.root_diameter_mm,
        "tip": connection.tip_mm,
        "fyb": connection.fyb_mpa,
    }
    numbers = {
        "diameter": connection.diameter_mm,
        "side.thickness": connection.side.thickness_mm,
        "main.thickness": connection.main.thickness_mm,
        **{name: value for name, value in optional.items() if value is not None},
    }
    if isinstance(connection.side, SteelSide):
        numbers["side.fu"] = connection.side.fu_mpa
    for name, value in numbers.items():
        if not 0.0 < value < float("inf"):
            yield Problem(name, value, "must be more than zero.")
    most = float(reduction_record("large")["upto_in"]) * MM_PER_IN
    if connection.diameter_mm > most:
        yield Problem(
            "diameter", f"{connection.diameter_mm:g} mm", f"the yield equations end at {most:g} mm."
        )
    root = connection.root_diameter_mm
    if root is not None and root > connection.diameter_mm:
        yield Problem("root_diameter", f"{root:g} mm", "must not exceed the nominal diameter.")


def _wood_problems(where: str, member: WoodMember) -> Iterator[Problem]:
    least, most = specific_gravity_range()
    if not least <= member.g <= most:
        yield Problem(
            f"{where}.g",
            member.g,
            f"the bearing equations are tabulated for specific gravity {least:g} to {most:g}.",
            f"For denser wood {most:g} is on the safe side.",
        )
    if not 0.0 <= member.angle_deg <= 90.0:
        yield Problem(f"{where}.angle", member.angle_deg, "must lie between 0 and 90 degrees.")


def _through(connection: DowelConnection) -> tuple[float, float, None]:
    sides = 2.0 if connection.shear == "double" else 1.0
    needed = connection.main.thickness_mm + sides * connection.side.thickness_mm
    if connection.length_mm is not None and connection.length_mm < needed:
        raise InputError(
            Problem(
                "length", f"{connection.length_mm:g} mm", f"must pass through all members ({needed:g} mm)."
            )
        )
    return _inches(connection.main.thickness_mm), _inches(connection.side.thickness_mm), None


def _pointed(connection: DowelConnection, tip_in: float) -> tuple[float, float, float | None]:
    main, side = _inches(connection.main.thickness_mm), _inches(connection.side.thickness_mm)
    double = connection.shear == "double"
    before = side + main if double else side
    if connection.penetration_mm is not None:
        reach = _inches(connection.penetration_mm)
    else:
        reach = _inches(connection.length_mm or 0.0) - before
    holder = side if double else main
    if double and isinstance(connection.side, SteelSide):
        if reach < side:
            raise InputError(
                Problem("length", connection.length_mm, "must pass through the far steel plate.")
            )
        return main, side, None
    bearing = min(reach - tip_in / 2.0, holder)
    if bearing <= 0.0:
        name = "far side member" if double else "main member"
        raise InputError(
            Problem(
                "length",
                connection.length_mm,
                f"the fastener does not bear in the {name}.",
                "Use a longer one.",
            )
        )
    penetration = min(reach, holder)
    return (main, bearing, penetration) if double else (bearing, side, penetration)


def _tip_in(connection: DowelConnection) -> float:
    if connection.tip_mm is not None:
        return _inches(connection.tip_mm)
    in_diameters = fastener_rules(connection.kind)["tip_d"]
    nominal = _inches(connection.diameter_mm)
    if in_diameters is not None:
        return float(in_diameters) * nominal
    return lag_screw(nominal).tip_in or 0.0


def _effective_in(connection: DowelConnection) -> float:
    if connection.root_diameter_mm is not None:
        return _inches(connection.root_diameter_mm)
    nominal = _inches(connection.diameter_mm)
    if connection.kind == "lag_screw":
        return lag_screw(nominal).root_diameter_in
    if connection.kind == "wood_screw":
        return wood_screw(nominal).root_diameter_in
    return nominal


def _side_strength(side: WoodMember | SteelSide, nominal_in: float) -> tuple[float, float]:
    if isinstance(side, SteelSide):
        return fe_steel_psi(side.fu_mpa * PSI_PER_MPA, side.forming), 0.0
    return float(fe_wood_psi(side.g, nominal_in, side.angle_deg)), side.angle_deg


def _fyb(connection: DowelConnection, nominal_in: float) -> float:
    if connection.fyb_mpa is not None:
        return connection.fyb_mpa * PSI_PER_MPA
    return fyb_psi(connection.kind, nominal_in)


def _short_problem(connection: DowelConnection, prepared: Prepared) -> Problem:
    reached = (prepared.penetration_in or 0.0) * MM_PER_IN
    least = (prepared.least_penetration_in or 0.0) * MM_PER_IN
    return Problem(
        "penetration",
        f"{reached:.1f} mm",
        f"the yield equations ask for at least {least:.1f} mm of a {connection.kind.replace('_', ' ')}.",
        "Use a longer fastener, or ask for the ratio to new alone.",
    )


def _inches(mm: float) -> float:
    # Rounded so that 6.35 mm is 0.25 in exactly: class limits of the standard lie on round inches.
    return round(mm / MM_PER_IN, 9)
