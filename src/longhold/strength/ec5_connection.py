"""A connection of one fastener as EN 1995-1-1 sees it, and what its equations need of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from longhold.base.errors import InputError, Problem
from longhold.strength.connection import FastenerKind
from longhold.strength.ec5_data import Material, dowel_record, embedment_mpa, embedment_record
from longhold.strength.nds_dowel import Shear

__all__ = [
    "Ec5Connection",
    "Ec5Member",
    "Ec5Plate",
    "Ec5Prepared",
    "effective_diameter_mm",
    "prepare_ec5",
    "reaches_too_little",
]


@dataclass(frozen=True)
class Ec5Member:
    """A member of sound timber, or a panel.

    Attributes
    ----------
    thickness_mm : along the fastener [mm]
    density_kg_m3 : characteristic density [kg/m3]
    angle_deg : angle of load to grain, 0 to 90 [degrees]; no effect on thin nails and screws
    material : softwood, hardwood, lvl, plywood or osb (particleboard likewise)
    splits_easily : whether its species counts as one that nails split (8.3.1.2(7))
    """

    thickness_mm: float
    density_kg_m3: float
    angle_deg: float = 0.0
    material: Material = "softwood"
    splits_easily: bool = False


@dataclass(frozen=True)
class Ec5Plate:
    """A steel plate; its own strength is the matter of EN 1993.

    Attributes
    ----------
    thickness_mm : bare steel as new [mm]
    hole_mm : diameter of its hole [mm]; None takes one that fits closely enough for a thick plate
    """

    thickness_mm: float
    hole_mm: float | None = None


@dataclass(frozen=True)
class Ec5Connection:
    """One fastener through a side member into a main member, or through three members.

    Attributes
    ----------
    kind : a staple is two legs; a lag screw is a screw
    diameter_mm : nominal diameter as new [mm]; side of a square nail; of one leg for a staple
    side : under the head; in double shear both outer members are alike
    main : member with the point; in double shear the middle one, which may be a plate
    length_mm : under the head [mm]; needed by all but bolts and dowels unless the penetration is given
    penetration_mm : depth in the member with the point [mm], instead of the length
    effective_mm : diameter that counts, of a screw [mm]; None takes 1.1 times the root
    root_diameter_mm : root of a screw's thread [mm]; None takes the least share of the diameter
    fu_mpa : tensile strength [N/mm2]; None takes nail wire, or a 4.6 bolt
    shear : single or double
    predrilled : whether a nail's hole is drilled
    square : a square or grooved nail
    head_diameter_mm : of nail or screw [mm]; None takes no credit for it
    fax_mpa, fhead_mpa : declared withdrawal and head strength of threaded nails and screws, for the density
        of these timbers: (8.40a), (8.40b) bring over one declared at another by (rho / rho_a)^0.8 [N/mm2]
    thread_mm : length of thread in the member with the point [mm], of screws and threaded nails; None takes
        no credit for what it holds
    drying : whether the wood dries under load from near fibre saturation: nails then hold two thirds
    fc90_mpa, washer_mm : for a bolt's rope effect: wood across the grain [N/mm2], washer [mm]
    stress_area_mm2 : of a bolt's thread [mm2]; None takes the table
    rope : whether the rope effect counts
    rope_cap_share : its largest share of the yield part; None takes the kind's
    """

    kind: FastenerKind
    diameter_mm: float
    side: Ec5Member | Ec5Plate
    main: Ec5Member | Ec5Plate
    length_mm: float | None = None
    penetration_mm: float | None = None
    effective_mm: float | None = None
    root_diameter_mm: float | None = None
    fu_mpa: float | None = None
    shear: Shear = "single"
    predrilled: bool = False
    square: bool = False
    head_diameter_mm: float | None = None
    fax_mpa: float | None = None
    fhead_mpa: float | None = None
    thread_mm: float | None = None
    drying: bool = False
    fc90_mpa: float | None = None
    washer_mm: float | None = None
    stress_area_mm2: float | None = None
    rope: bool = True
    rope_cap_share: float | None = None

    @property
    def is_screw(self) -> bool:
        """Whether it is a screw of any kind."""
        return self.kind in ("wood_screw", "lag_screw")

    @property
    def runs_through(self) -> bool:
        """Whether it passes through every member."""
        return self.kind in ("bolt", "dowel")


@dataclass(frozen=True)
class Ec5Prepared:
    """What the yield modes need, all as new.

    Attributes
    ----------
    effective_mm : diameter that bends and bears [mm]
    fh1_mpa, fh2_mpa : embedment of side and main member; 0 for a plate [N/mm2]
    t1_mm, t2_mm : bearing lengths in them; 0 for a plate [mm]
    penetration_mm : in the member with the point [mm]; None if it runs through
    least_penetration_mm : asked by the standard; None likewise
    fu_mpa : tensile strength [N/mm2]
    legs : legs that share the load
    """

    effective_mm: float
    fh1_mpa: float
    fh2_mpa: float
    t1_mm: float
    t2_mm: float
    penetration_mm: float | None
    least_penetration_mm: float | None
    fu_mpa: float
    legs: int

    @property
    def is_short(self) -> bool:
        """Whether the point reaches less deep than the equations ask for."""
        if self.penetration_mm is None or self.least_penetration_mm is None:
            return False
        return self.penetration_mm < self.least_penetration_mm - 1e-6


def reaches_too_little(connection: Ec5Connection) -> bool:
    """Whether the point reaches less than the standard asks (smooth nails 8 d, staples 14 d, others 6 d).

    >>> board = Ec5Member(38.0, 350.0)
    >>> reaches_too_little(Ec5Connection("nail", 3.4, board, board, length_mm=60.0))
    True
    """
    return prepare_ec5(connection, accept_short=True).is_short


def prepare_ec5(connection: Ec5Connection, *, accept_short: bool = False) -> Ec5Prepared:
    """Lengths, diameters and strengths of a connection as new, or every reason why there are none.

    Parameters
    ----------
    accept_short : compute even below the least penetration, for a ratio to new and nothing else

    Raises
    ------
    InputError : with all problems found
    """
    problems = list(_problems(connection))
    if problems:
        raise InputError(*problems)
    effective = effective_diameter_mm(connection)
    t1, t2, penetration = _lengths(connection)
    prepared = Ec5Prepared(
        effective_mm=effective,
        fh1_mpa=_embedment(connection, connection.side, effective),
        fh2_mpa=_embedment(connection, connection.main, effective),
        t1_mm=t1,
        t2_mm=t2,
        penetration_mm=penetration,
        least_penetration_mm=None if penetration is None else _least_mm(connection),
        fu_mpa=_fu_mpa(connection),
        legs=2 if connection.kind == "staple" else 1,
    )
    if prepared.is_short and not accept_short:
        allowed = f"EN 1995-1-1 asks for at least {prepared.least_penetration_mm:.1f} mm of it."
        do = "Use a longer fastener, or ask for the ratio to new alone."
        raise InputError(Problem("penetration", f"{prepared.penetration_mm:.1f} mm", allowed, do))
    return prepared


def _problems(connection: Ec5Connection) -> Iterator[Problem]:
    optional = (
        "length_mm",
        "penetration_mm",
        "effective_mm",
        "root_diameter_mm",
        "fu_mpa",
        "head_diameter_mm",
    )
    numbers = {
        "diameter": connection.diameter_mm,
        "side.thickness": connection.side.thickness_mm,
        "main.thickness": connection.main.thickness_mm,
        **{name: value for name in optional if (value := getattr(connection, name)) is not None},
    }
    for where, member in (("side", connection.side), ("main", connection.main)):
        if isinstance(member, Ec5Member):
            numbers[f"{where}.density"] = member.density_kg_m3
            if not 0.0 <= member.angle_deg <= 90.0:
                yield Problem(f"{where}.angle", member.angle_deg, "must lie between 0 and 90 degrees.")
    for name, value in numbers.items():
        if not 0.0 < value < float("inf"):
            yield Problem(name, value, "must be more than zero.")
    for name in ("effective_mm", "root_diameter_mm"):
        given = getattr(connection, name)
        if given is not None and given > connection.diameter_mm:
            yield Problem(name, f"{given:g} mm", "must not exceed the nominal diameter.")
    if isinstance(connection.main, Ec5Plate) and connection.shear == "single":
        yield Problem("main", "steel plate", "may be steel only as the middle of three members.")
    if isinstance(connection.main, Ec5Plate) and isinstance(connection.side, Ec5Plate):
        yield Problem("side", "steel plate", "must be timber where the middle is a plate.")
    if not connection.runs_through and (connection.length_mm is None) == (connection.penetration_mm is None):
        yield Problem("length", connection.length_mm, "give either the length or the penetration, not both.")


def effective_diameter_mm(connection: Ec5Connection) -> float:
    """Diameter that bends and bears [mm]: of screws the smooth shank as stated, else 1.1 times the root.

    >>> board = Ec5Member(45.0, 350.0)
    >>> screw = Ec5Connection("wood_screw", 6.0, board, board, root_diameter_mm=4.0)
    >>> round(effective_diameter_mm(screw), 2)
    4.4
    """
    if not connection.is_screw:
        return connection.diameter_mm
    if connection.effective_mm is not None:
        return connection.effective_mm
    root = connection.root_diameter_mm
    if root is None:
        root = float(dowel_record("screw")["root_share"]) * connection.diameter_mm
    return min(float(embedment_record("screw")["root_factor"]) * root, connection.diameter_mm)


def _embedment(connection: Ec5Connection, member: Ec5Member | Ec5Plate, effective_mm: float) -> float:
    if isinstance(member, Ec5Plate):
        return 0.0
    drilled = connection.runs_through or (connection.kind == "nail" and connection.predrilled)
    thick = connection.diameter_mm > embedment_record("nail")["upto_mm"]
    if connection.is_screw:
        thick = connection.diameter_mm > embedment_record("screw")["thick_over_mm"]
        drilled = thick or connection.predrilled
    return embedment_mpa(
        member.material,
        effective_mm,
        member.density_kg_m3,
        drilled=drilled,
        thickness_mm=member.thickness_mm,
        angle_deg=member.angle_deg if connection.runs_through or thick else 0.0,
    )


def _lengths(connection: Ec5Connection) -> tuple[float, float, float | None]:
    """Bearing lengths in side and main member, and the penetration where there is a point."""
    side = 0.0 if isinstance(connection.side, Ec5Plate) else connection.side.thickness_mm
    main = 0.0 if isinstance(connection.main, Ec5Plate) else connection.main.thickness_mm
    double = connection.shear == "double"
    all_mm = connection.main.thickness_mm + (2.0 if double else 1.0) * connection.side.thickness_mm
    if connection.runs_through:
        if connection.length_mm is not None and connection.length_mm < all_mm:
            allowed = f"must pass through all members ({all_mm:g} mm)."
            raise InputError(Problem("length", f"{connection.length_mm:g} mm", allowed))
        return side, main, None
    before = connection.side.thickness_mm + (connection.main.thickness_mm if double else 0.0)
    reach = connection.penetration_mm
    if reach is None:
        reach = (connection.length_mm or 0.0) - before
    if reach <= 0.0:
        allowed = "the fastener does not reach the member that should hold its point."
        raise InputError(Problem("length", connection.length_mm, allowed, "Use a longer one."))
    if not double:
        reach = min(reach, main)
        return side, reach, reach
    if isinstance(connection.side, Ec5Plate):
        if reach < connection.side.thickness_mm:
            allowed = "must pass through the far steel plate."
            raise InputError(Problem("length", connection.length_mm, allowed))
        return 0.0, main, None
    reach = min(reach, side)
    return reach, main, reach


def _least_mm(connection: Ec5Connection) -> float:
    if connection.is_screw:
        return float(dowel_record("least_penetration_screw")["screw_d"]) * connection.diameter_mm
    if connection.kind == "staple":
        return float(dowel_record("least_penetration_staple")["staple_d"]) * connection.diameter_mm
    smooth = connection.fax_mpa is None and not connection.square
    rule = dowel_record("least_penetration")
    return float(rule["smooth_nail_d" if smooth else "other_nail_d"]) * connection.diameter_mm


def _fu_mpa(connection: Ec5Connection) -> float:
    if connection.fu_mpa is not None:
        return connection.fu_mpa
    name = "wire" if connection.kind in ("nail", "staple") else "screw" if connection.is_screw else "bolt"
    return float(dowel_record(name)["fu_mpa"])
