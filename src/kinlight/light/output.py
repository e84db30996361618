"""How much light a flash gives off: from watt-seconds, or from a guide number."""

from __future__ import annotations

import math
from dataclasses import dataclass

from kinlight.errors import Fault, RangeError
from kinlight.light.checks import require_not_negative, require_positive
from kinlight.light.exposure import C_FLAT
from kinlight.light.tables import Figure, constant, typical_transmission
from kinlight.quantities.lengths import METRES_PER_INCH

METRES_PER_FOOT = 12 * METRES_PER_INCH


@dataclass(frozen=True)
class OutputEstimate:
    """The luminous energy a light is expected to give off at full power.

    Attributes
    ----------
    luminous_energy_lms : what leaves its front [lm.s].
    below_stops, above_stops : how far the truth may lie below and above [stop]; outer limits of
        what is usual, not a standard deviation, and 0 for parts that were stated.
    assumed : what was taken from typical figures; empty if all was stated.
    metered : whether meter readings have settled it; the band is then a standard deviation.
    """

    luminous_energy_lms: float
    below_stops: float
    above_stops: float
    assumed: tuple[str, ...]
    metered: bool = False

    def text(self) -> str:
        """Return the estimate with its band, labelled as one."""
        amount = f"{self.luminous_energy_lms:.0f} lm s"
        if self.metered:
            return f"{amount}, metered to {self.above_stops:.1f} stop"
        if not self.assumed:
            return f"{amount}, from stated figures; not metered"
        band = f"{-self.below_stops:+.1f} to {self.above_stops:+.1f} stop"
        return f"{amount}, an estimate ({band}) from {' and '.join(self.assumed)}; not metered"


def estimated_output(
    energy_j: float,
    *,
    modifier: str,
    efficacy_lms_per_j: float | None = None,
    transmission: float | None = None,
) -> OutputEstimate:
    """Estimate the luminous energy that leaves a light's front at full power.

    Parameters
    ----------
    energy_j : stored energy at full power, watt-seconds [J].
    modifier : the kind of modifier, a row of modifiers.toml.
    efficacy_lms_per_j : light per stored energy; left out, a typical strobe's [lm.s/J].
    transmission : share of the light that leaves the front; left out, typical of the kind [-].

    Raises
    ------
    RangeError
        If a figure is not above zero, the transmission above 1, or the kind unknown.

    Notes
    -----
    Q = energy x efficacy x transmission. The bands of both typical figures are added.
    """
    assumed: list[str] = []
    efficacy = _stated_or(efficacy_lms_per_j, constant("flash_efficacy_lms_per_j"))
    if efficacy_lms_per_j is None:
        assumed.append("a typical strobe's efficacy")
    share = _stated_or(transmission, typical_transmission(modifier))
    if transmission is None:
        assumed.append(f"a typical loss in this kind of modifier ({modifier})")
    return OutputEstimate(
        front_energy_lms(energy_j, efficacy_lms_per_j=efficacy.value, transmission=share.value),
        below_stops=sum(math.log2(f.value / f.low) for f in (efficacy, share)),
        above_stops=sum(math.log2(f.high / f.value) for f in (efficacy, share)),
        assumed=tuple(assumed),
    )


def as_metered(estimate: OutputEstimate, *, stops: float, sd_stops: float) -> OutputEstimate:
    """Return an estimate as meter readings have mended it: so many stops more, so well known."""
    energy = estimate.luminous_energy_lms * 2**stops
    return OutputEstimate(energy, sd_stops, sd_stops, assumed=(), metered=True)


def _stated_or(stated: float | None, typical: Figure) -> Figure:
    """Return a stated value without a band, or the typical figure."""
    return typical if stated is None else Figure(stated, stated, stated, "stated", "stated")


def front_energy_lms(
    energy_j: float, *, efficacy_lms_per_j: float, transmission: float = 1.0
) -> float:
    """Return the luminous energy that leaves a light's front [lm.s].

    Parameters
    ----------
    energy_j : stored energy of the flash, watt-seconds [J].
    efficacy_lms_per_j : light per stored energy [lm.s/J].
    transmission : share of the light that leaves the front, up to 1 [-].

    Raises
    ------
    RangeError
        If a figure is not above zero, or the transmission above 1.
    """
    require_positive(energy_j, what="the energy of a flash", unit="J")
    require_positive(efficacy_lms_per_j, what="the efficacy of a flash", unit="lm s per J")
    require_positive(transmission, what="the transmission of a modifier")
    if transmission > 1:
        raise RangeError(
            Fault(
                "cannot be the transmission of a modifier",
                allowed="up to 1, as it cannot pass on more light than it gets",
                given=f"{transmission:g}",
            )
        )
    return energy_j * efficacy_lms_per_j * transmission


def diffuser_transmission(
    *, inner_stops: float = 0.0, outer_stops: float = 0.0, shell: float = 1.0
) -> float:
    """Return the share of the lamp's light that leaves a box through its sheets [-].

    Parameters
    ----------
    inner_stops, outer_stops : loss in the inner and the outer sheet, each as measured alone; 0 is
        no sheet [stop].
    shell : share of the light that the box's lining does not swallow, up to 1 [-].

    Raises
    ------
    RangeError
        If a loss is below zero, or the shell not above 0 and up to 1.

    Notes
    -----
    shell x 2^-(inner + outer). Light that a sheet throws back is counted as lost, though some of it
    comes forward again from the lining and from sheet to sheet: two sheets that each pass and send
    back 0.45 lose 1.98 stops together and not 2.30 [kubelka1954]. So it is rather too low.
    """
    require_not_negative(inner_stops, what="the loss in a sheet", unit="stop")
    require_not_negative(outer_stops, what="the loss in a sheet", unit="stop")
    require_positive(shell, what="the share of light a box's lining leaves")
    if shell > 1:
        problem = "cannot be the share of light a box's lining leaves"
        raise RangeError(Fault(problem, allowed="up to 1", given=f"{shell:g}"))
    return float(shell * 2.0 ** -(inner_stops + outer_stops))


def beam_power(*, half_angle_deg: float) -> float:
    """Return the power of the cosine that leaves half the intensity at an angle from the axis [-].

    Parameters
    ----------
    half_angle_deg : half the beam angle a maker states, where that means half the peak; above 0 and
        below 90 [deg].

    Raises
    ------
    RangeError
        If the angle is outside its bounds.

    Notes
    -----
    cos(angle)^n = 1/2, so n = ln(1/2) / ln(cos(angle)): 60 degrees is a matt front, n = 1.
    """
    if not 0 < half_angle_deg < 90:
        raise RangeError(
            Fault(
                "cannot be the angle from the axis at which half the light is left",
                allowed="above 0 and below 90 deg",
                given=f"{half_angle_deg:g} deg",
            )
        )
    return math.log(0.5) / math.log(math.cos(math.radians(half_angle_deg)))


def exitance_lxs(luminous_energy_lms: float, *, area_m2: float) -> float:
    """Return the luminous exitance of an evenly bright front, energy over area [lx.s]."""
    require_not_negative(luminous_energy_lms, what="the luminous energy of a flash", unit="lm s")
    require_positive(area_m2, what="the area of a front", unit="m2")
    return luminous_energy_lms / area_m2


def isotropic_cds(luminous_energy_lms: float) -> float:
    """Return the intensity of a source that shines evenly all around, Q / (4 pi) [cd.s]."""
    return luminous_energy_lms / (4 * math.pi)


def lambertian_cds(luminous_energy_lms: float) -> float:
    """Return the intensity straight ahead of a flat Lambertian front, Q / pi [cd.s]."""
    return luminous_energy_lms / math.pi


def guide_number_m(beam_cds: float, *, iso: float, c: float = C_FLAT) -> float:
    """Return a guide number in metres from beam candela seconds.

    Parameters
    ----------
    beam_cds : intensity straight ahead [cd.s].
    iso : film or sensor speed, ISO [-].
    c : the meter constant [lx.s].

    Notes
    -----
    f-number x distance for a plain exposure of a bare flash: E t = I / d^2 and N^2 = E t S / C
    [iso2720] give GN = sqrt(I S / C). No wall helps: guide numbers on boxes count on a normal
    room, and film data sheets' tables imply C of about 222.
    """
    require_not_negative(beam_cds, what="the intensity of a flash", unit="cd s")
    require_positive(iso, what="the ISO speed")
    require_positive(c, what="the meter constant")
    return math.sqrt(beam_cds * iso / c)


def guide_number_feet(beam_cds: float, *, iso: float, c: float = C_FLAT) -> float:
    """Return a guide number in feet from beam candela seconds; see `guide_number_m`."""
    return guide_number_m(beam_cds, iso=iso, c=c) / METRES_PER_FOOT


def guide_number_cds(number_m: float, *, iso: float, c: float = C_FLAT) -> float:
    """Return the beam candela seconds behind a guide number in metres; see `guide_number_m`."""
    require_not_negative(number_m, what="a guide number", unit="m")
    require_positive(iso, what="the ISO speed")
    require_positive(c, what="the meter constant")
    return number_m**2 * c / iso
