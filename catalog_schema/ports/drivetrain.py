"""Ports of the drivetrain that issue joints need first: cassette, spacer, lockring."""

from __future__ import annotations

from catalog_schema.ports.base import Port
from catalog_schema.quantity import Count, Figure, Numbers, Word


class CassetteBore(Port):
    """The inside of a cassette: the shape that it slides on, and the body that it is made for.

    ``seat`` is the word for the body that it is made for (the rows of ``drivetrain.cassette-seats``). Where
    nobody states it, speeds and largest cog usually tell; where they do not, it has to be looked up. ``lockring``
    says whether the cassette brings its ring. ``pitch_mm`` is from the middle of one cog to that of the next,
    ``spacing`` the word for it; ``cog_mm`` is the thickness of a cog, ``tooth_shape`` the word for teeth that ask
    for a chain of their own; ``cogs_teeth`` are the teeth of all cogs. ``stack_mm`` is how high the cogs lie on each
    other with the rings between them, from the back of the largest to the face of the smallest.
    """

    spline: Word = None
    seat: Word = None
    speeds: Count = None
    smallest_cog_teeth: Count = None
    largest_cog_teeth: Count = None
    lockring: Word = None
    pitch_mm: Figure = None
    spacing: Word = None
    cog_mm: Figure = None
    tooth_shape: Word = None
    cogs_teeth: Numbers = None
    stack_mm: Figure = None


class ChainStay(Port):
    """The stay of a frame beside the chain.

    ``length_mm`` is from the middle of the bottom bracket to the middle of the rear axle; where the rear wheel is
    sprung, at the place of its travel where that is longest.
    """

    length_mm: Figure = None


class CassetteSpacer(Port):
    """Rings between a cassette and its body.

    ``thickness_mm`` is the height of the rings behind the cassette, all together; ``extends_mm`` how much longer a ring
    makes the body at its outer end.
    """

    thickness_mm: Figure = None
    extends_mm: Figure = None


class CassetteLockring(Port):
    """The ring that clamps a cassette on its body; ``cog_teeth`` is the smallest cog that it is as wide as."""

    thread: Word = None
    cog_teeth: Count = None
