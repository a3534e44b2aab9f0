"""What an assessment says: one finding for each joint, and the whole."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Literal

from longhold.assessment.coat_findings import DamageFinding, EdgeFinding
from longhold.assessment.stainless_findings import StainlessFinding
from longhold.base.marks import Mark
from longhold.base.sources import Source
from longhold.base.trace import Section
from longhold.codes.answers import CodeAnswer
from longhold.forecast.summary import Band, Curve
from longhold.metal.couples import Couple
from longhold.model.protection import Protection
from longhold.model.structure import Joint, Structure
from longhold.model.surroundings import AirLoad, Climate

if TYPE_CHECKING:
    from longhold.assessment.decay import DecayFlag
    from longhold.assessment.galvanic import CoupleLoss
    from longhold.assessment.shore import ShoreFinding
    from longhold.assessment.weakest import WeakestFinding
    from longhold.assessment.wood_findings import WoodBlock
    from longhold.forecast.exposure import AirLaw

__all__ = [
    "Assessment",
    "Assumption",
    "Cause",
    "FaceFinding",
    "JointFinding",
    "ModeShare",
    "Outcome",
    "PartFinding",
    "SiteFinding",
    "StrengthFinding",
]

Outcome = Literal["holds", "fails", "refer"]


@dataclass(frozen=True)
class Assumption:
    """A value that nobody gave and Longhold took.

    Attributes
    ----------
    where : field it stands for, such as ``site.shore``
    value : what was taken, for people
    because : why, or what it means
    """

    where: str
    value: str
    because: str


@dataclass(frozen=True)
class Cause:
    """The uncertain input that matters most to an answer.

    Attributes
    ----------
    name, words : the cause
    share : share of the variance of the rank of the life that it explains, 0 to 1
    band_if_known : the band that would be left if it were known, averaged over where it may lie
    """

    name: str
    words: str
    share: float
    band_if_known: Band


@dataclass(frozen=True)
class FaceFinding:
    """Forecast for one face of a part.

    Attributes
    ----------
    face, words : which face
    touches : air, timber_contact or timber_embedded
    zinc_rate_um_yr, base_rate_um_yr : first-year loss of zinc (None without) and of the base metal [um]
    film_years, zinc_years : life of each layer by itself [years]; None where there is no such layer
    protection_years : age at which base metal is first lost [years]; None where it has no layer to lose
    base_loss_um : base metal lost at the design life [um]
    zinc_left, base_loss : the same against age [um]
    chance : chance that protection lasts the design life; None where there is no layer to lose
    calculation : how it came about, with middle values put in
    lies : how it lies to rain, for people; empty where it is not in outdoor air
    against : what a face away from the timber meets in place of air, such as soil; empty where it is air
    """

    face: str
    words: str
    touches: str
    zinc_rate_um_yr: Band | None
    base_rate_um_yr: Band
    film_years: Band | None
    zinc_years: Band | None
    protection_years: Band | None
    base_loss_um: Band
    zinc_left: Curve | None
    base_loss: Curve
    chance: float | None
    calculation: Section
    lies: str = ""
    against: str = ""


@dataclass(frozen=True)
class ModeShare:
    """One way of giving, and how often it governs.

    Attributes
    ----------
    words : for people
    share : share of the draws in which it governs, at each age of the strength's curve
    """

    words: str
    share: tuple[float, ...]


@dataclass(frozen=True)
class StrengthFinding:
    """Strength left of one part, as a ratio to new.

    Attributes
    ----------
    ratio : at the design life
    curve : against age
    mode_new, mode_aged : governing mode when new and at the design life (middle draw), in words
    capacity_new_n : design capacity of one joint's parts of this kind when new [N]; None if not computed
    years : age at which strength ends [years]
    ends_at : ratio at which strength ends (demand over new, or the stated fraction)
    ends_words : the same in words
    chance : chance that strength lasts the design life
    below_when_new : whether the demand exceeds the capacity when new
    calculation : how it came about
    modes : which mode governs in what share of the draws, age by age
    counted : whether the joint's strength rests on it; not where fasteners of another kind carry the demand
    """

    ratio: Band
    curve: Curve
    mode_new: str
    mode_aged: str
    capacity_new_n: float | None
    years: Band
    ends_at: float
    ends_words: str
    chance: float
    below_when_new: bool
    calculation: Section
    modes: tuple[ModeShare, ...] = ()
    counted: bool = True


@dataclass(frozen=True)
class PartFinding:
    """Everything about one part of a joint.

    Attributes
    ----------
    id, kind_words, size_words, label, count : what it is
    protection : the reading that the forecast rests on: the least protective where several are possible
    other_readings, other_years : further readings of the same label, and years to first loss under each
    question : what settles the reading; empty where it is settled
    cautions : warnings that the label calls for
    not_promised : what the label does not say
    faces : forecasts by face; empty where Longhold does not compute (see ``refer``)
    governing_face : index into faces of the first to lose base metal; None where none applies
    protection_years : age at which any face first loses base metal [years]; None where none applies
    strength : strength left; None where it is not computed (see ``refer``)
    code : answer of the governing code for this part
    refer : reasons why something is not computed
    damage : what damage and repairs do
    edge : its cut edges; None where it has none or they are not computed
    stainless : whether its passive film is kept; None for other metals
    """

    id: str
    kind_words: str
    size_words: str
    label: str
    count: int
    protection: Protection
    other_readings: tuple[Protection, ...]
    other_years: tuple[Band | None, ...]
    question: str
    cautions: tuple[str, ...]
    not_promised: tuple[str, ...]
    faces: tuple[FaceFinding, ...]
    governing_face: int | None
    protection_years: Band | None
    strength: StrengthFinding | None
    code: CodeAnswer
    refer: tuple[str, ...]
    damage: tuple[DamageFinding, ...] = ()
    edge: EdgeFinding | None = None
    stainless: StainlessFinding | None = None

    @property
    def governing(self) -> FaceFinding | None:
        """The governing face."""
        return None if self.governing_face is None else self.faces[self.governing_face]


@dataclass(frozen=True)
class JointFinding:
    """One joint's answer.

    Attributes
    ----------
    joint : as described
    outcome : fails (code or target), refer, or holds
    answer : the answer in one sentence with a number, then what would be enough
    why : the governing part, face and cause in a sentence or two
    parts : findings by part
    weakest_part : id of the part whose strength or protection governs; None where nothing is computed
    protection_years, strength_years : of the governing part; None where not applicable
    protection_chance, strength_chance : chance of reaching the design life
    strength_ratio : at the design life, of the weakest part
    decides : "strength" for structural joints, "protection" for others
    couples : parts of different metal families
    cause : the uncertain input that matters most
    enough : kind of hardware that would pass the code and reach the target, for a joint that fails;
        empty where it does not fail or nothing tried is enough
    mark : weakest mark that the answer rests on
    assumptions : of this joint
    wood : moisture of its timbers, and the loss of metal in them depth by depth
    weakest : its elements, which is the weakest, and the chance that it has fallen below what is asked, age
        by age; None where no strength is computed
    decay : where decay, which no strength counts, would govern; None where it is not computed
    galvanic : what each pair of different metals costs, those kept apart by insulation too
    advice : what good practice says of each part, by its id; guidance, which decides nothing here
    accepted : deviations that the user accepts knowingly, each in words with the part and the reason
    enough_if_accepted : stainless below the class asked for that would do but for its pits, where the user
        accepts such a class; empty where nobody does
    enough_beside : a copper alloy that would do as well as the stainless advised; empty where none does
    """

    joint: Joint
    outcome: Outcome
    answer: str
    why: str
    parts: tuple[PartFinding, ...]
    weakest_part: str | None
    protection_years: Band | None
    strength_years: Band | None
    protection_chance: float | None
    strength_chance: float | None
    strength_ratio: Band | None
    decides: Literal["strength", "protection"]
    couples: tuple[Couple, ...]
    cause: Cause | None
    enough: str
    mark: Mark
    assumptions: tuple[Assumption, ...]
    wood: tuple[WoodBlock, ...] = ()
    weakest: WeakestFinding | None = None
    decay: DecayFlag | None = None
    galvanic: tuple[CoupleLoss, ...] = ()
    advice: tuple[tuple[str, CodeAnswer], ...] = ()
    accepted: tuple[str, ...] = ()
    enough_if_accepted: str = ""
    enough_beside: str = ""


@dataclass(frozen=True)
class SiteFinding:
    """What the site's air is and does to open bare metal.

    Attributes
    ----------
    climate, air_load, distance_to_salt_m : as used; distance None where chloride is measured instead
    temperature_c, relative_humidity_pct : yearly means
    first_year_um : metal -> first-year loss in the open [um]
    printed_first_year_um : metal -> the same by the standard's equation as printed, middle values put in [um]
    calibrated_first_year_um : metal -> the same by the equation moved to measured sites [um]
    categories : metal -> ISO 9223 category -> probability
    refer : why the outdoor air here is beyond what is computed; empty where it is not
    outside_validity : inputs that lie outside the range in which the air law was fitted, in words
    calculation : of the middle values
    shore : the salt water about it; None without a position or the places data
    """

    climate: Climate
    air_load: AirLoad
    distance_to_salt_m: float | None
    temperature_c: float
    relative_humidity_pct: float
    first_year_um: dict[str, Band]
    printed_first_year_um: dict[str, float]
    calibrated_first_year_um: dict[str, float]
    categories: dict[str, dict[str, float]]
    outside_validity: tuple[str, ...]
    refer: tuple[str, ...]
    calculation: Section
    shore: ShoreFinding | None


@dataclass(frozen=True)
class Assessment:
    """The whole answer for one structure on one site.

    Attributes
    ----------
    structure : as described
    site : what the air is
    findings : one for each joint, in the order of the file
    assumptions : of the structure and site
    version, seed, draws, inputs_sha256, packs : what is needed to repeat it
    models : named alternatives and laws that were used, in words
    sources : every source that a number came from, with the marks it was used under
    air_law : which law of loss in air was asked for
    with_readings : whether readings corrected the draws; it is then not repeated from the structure alone
    """

    structure: Structure
    site: SiteFinding
    findings: tuple[JointFinding, ...]
    assumptions: tuple[Assumption, ...]
    version: str
    seed: int
    draws: int
    inputs_sha256: str
    packs: tuple[str, ...]
    models: tuple[str, ...]
    sources: tuple[tuple[Source, tuple[Mark, ...]], ...] = field(default=())
    air_law: AirLaw = "both"
    with_readings: bool = False

    def count(self, outcome: Outcome) -> int:
        """Number of joints described (not multiplied by quantity) with an outcome."""
        return sum(finding.outcome == outcome for finding in self.findings)

    @property
    def worst_first(self) -> Sequence[JointFinding]:
        """Findings by what needs action first.

        What fails, then what is left open, then what holds; in each, joints that carry load before
        the others, and of those the one that ends soonest.
        """
        return sorted(self.findings, key=_end)


def _end(finding: JointFinding) -> tuple[int, bool, float]:
    band = finding.strength_years if finding.decides == "strength" else finding.protection_years
    rank = {"fails": 0, "refer": 1, "holds": 2}[finding.outcome]
    return rank, finding.joint.role != "structural", float("inf") if band is None else band.p50
