"""How long a chain has to be. Pure arithmetic; lengths in millimetres in, pitches of half an inch out, to six places.

A pitch is what the box of a chain counts as a link: a chain of 116 links is 58 inches long. Chains are closed between
an inner and an outer plate, so they have an even number of pitches.

Four ways, which agree within a pitch (a property test holds them together):

- ``wrapped``: round both rings, by geometry. Each toothed wheel carries half of its teeth, the two straight runs touch
  both pitch circles, and the larger wheel carries as much more as the smaller carries less.
- ``by_handbook``: twice the stay, half of all teeth, and what the slant adds, as handbooks of machines print it (U. C.
  Jindal, Machine Design, chapter 30, Chain drive), and one inch more for the derailleur.
- ``by_sum``: twice the stay and a quarter of the teeth, plus one inch; printed by many, for one in the answer of
  bikeforums.net/showthread.php?86388 and in metric form there (0.157 a + F/2 + R/2 + 2).
- ``large_to_large``: round the largest ring and the largest cog without the derailleur, to the next length that can be
  closed, and one inner and one outer link more: what a mechanic does with the chain in his hand (common practice).
"""

from __future__ import annotations

from decimal import ROUND_CEILING, Decimal
from typing import Final

from solver.formulas.exact import PI, angle_of_sine

#: One pitch in millimetres: half an inch.
PITCH: Final = Decimal("12.7")
#: One inner and one outer link, which the derailleur's two wheels need: an inch.
FOR_THE_DERAILLEUR: Final = Decimal(2)

_NOISE: Final = Decimal("0.000001")


def wrapped(stay: Decimal, ring: Decimal, cog: Decimal) -> Decimal:
    """Return the pitches of a chain that lies tight round a ring and a cog.

    Args:
        stay: from the middle of the bottom bracket to the middle of the rear axle, in mm.
        ring: teeth of the ring.
        cog: teeth of the cog.

    >>> wrapped(Decimal("431.8"), Decimal(40), Decimal(40))
    Decimal('108.000000')

    Raises:
        ValueError: the two wheels are nested, or the stay is not positive.
    """
    return around(stay / PITCH, ring, cog)


def around(stay_in_pitches: Decimal, ring: Decimal, cog: Decimal) -> Decimal:
    """Return the pitches of whatever lies tight round two toothed wheels, a chain or a belt; the stay in pitches too.

    >>> around(Decimal(34), Decimal(40), Decimal(40))
    Decimal('108.000000')

    Raises:
        ValueError: the two wheels are nested, or the stay is not positive.
    """
    step = (ring - cog) / (2 * PI)
    if stay_in_pitches <= abs(step):
        apart = stay_in_pitches.quantize(_NOISE).normalize()
        raise ValueError(f"no chain or belt goes round {ring} and {cog} teeth that stand {apart} pitches apart")
    lean = angle_of_sine(step / stay_in_pitches)
    straight = (stay_in_pitches * stay_in_pitches - step * step).sqrt()
    return (2 * straight + (ring + cog) / 2 + 2 * lean * (ring - cog)).quantize(_NOISE)


def by_handbook(stay: Decimal, ring: Decimal, cog: Decimal) -> Decimal:
    """Return the pitches by the sum of handbooks of machines, with the inch for the derailleur.

    The last term is what the slant of the two runs adds.

    >>> round(by_handbook(Decimal("438.15"), Decimal(52), Decimal(28)) / 2, 3)
    Decimal('55.711')
    """
    slant = ((ring - cog) / (2 * PI)) ** 2 / (stay / PITCH)
    return (2 * stay / PITCH + (ring + cog) / 2 + slant + FOR_THE_DERAILLEUR).quantize(_NOISE)


def by_sum(stay: Decimal, ring: Decimal, cog: Decimal) -> Decimal:
    """Return the pitches by the plain sum, with the inch for the derailleur.

    >>> by_sum(Decimal("406.4"), Decimal(44), Decimal(12)) / 2
    Decimal('47.000000')
    """
    return (2 * stay / PITCH + (ring + cog) / 2 + FOR_THE_DERAILLEUR).quantize(_NOISE)


def large_to_large(stay: Decimal, ring: Decimal, cog: Decimal) -> Decimal:
    """Return the pitches of a chain cut on the bicycle: to the nearest joint that closes, and two more.

    >>> large_to_large(Decimal(420), Decimal(46), Decimal(42))
    Decimal('114')
    """
    return joinable(wrapped(stay, ring, cog)) + FOR_THE_DERAILLEUR


def joinable(pitches: Decimal) -> Decimal:
    """Return the least even number of pitches that is no shorter.

    >>> joinable(Decimal("103.94")), joinable(Decimal(104)), joinable(Decimal("104.01"))
    (Decimal('104'), Decimal('104'), Decimal('106'))
    """
    return (pitches.quantize(_NOISE) / 2).to_integral_value(ROUND_CEILING) * 2
