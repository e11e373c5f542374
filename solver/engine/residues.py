"""One exact count beyond machine integers, by residues and the Chinese remainder theorem.

In: the lower part of a circuit counted in machine integers, and the nodes above it. Out: the count of the root as a
Python integer. One modulus is 2**64, which machine arithmetic gives for nothing; the others are primes so small that a
run of products cannot overflow, so that a remainder is taken once a row, not once a pair. How many moduli are needed
is settled first by an upper bound in scaled integers, always rounded up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

import numpy as np

from solver.engine.circuit import Circuit, Node
from solver.engine.problem import IntArray
from solver.engine.tables import Scratch

_WORD = 2**64


def count_by_residues(circuit: Circuit, values: Mapping[int, IntArray], above: Sequence[int]) -> int:
    """The count of the root.

    Args:
        circuit: the circuit.
        values: exact counts of the numbers below.
        above: the nodes whose counts may overflow, in order; the root is the last.
    """
    longest = max(circuit.node(n).longest_run for n in above)
    bits = (63 - longest.bit_length()) // 2
    needed = _bound(circuit, values, above, bits)
    if bits < 8:
        return _by_hand(circuit, values, above)
    scratch = Scratch()
    product, count = _WORD, _pass(circuit, values, above, None, scratch)
    for prime in _primes(bits):
        if product > needed:
            return count
        residue = _pass(circuit, values, above, prime, scratch)
        count += product * ((residue - count) * pow(product, -1, prime) % prime)
        product *= prime
    return count if product > needed else _by_hand(circuit, values, above)


def _bound(circuit: Circuit, values: Mapping[int, IntArray], above: Sequence[int], bits: int) -> int:
    """A number not below the count: each row carried as ``bits`` bits times a power of two, rounded up."""
    scaled: dict[int, tuple[IntArray, int]] = {}
    scratch = Scratch()

    def of(number: int) -> tuple[IntArray, int]:
        found, shift = scaled[number] if number in scaled else (values[number], 0)
        excess = int(found.max(initial=0)).bit_length() - bits
        return ((found >> excess) + 1, shift + excess) if excess > 0 else (found, shift)

    for number in above:
        node = circuit.node(number)
        left, shift = of(node.left)
        right, more = of(node.right) if node.right >= 0 else (None, 0)
        scaled[number] = _node(node, left, right, scratch), shift + more
    found, shift = scaled[circuit.root]
    return int(found[0]) << shift


def _pass(
    circuit: Circuit, values: Mapping[int, IntArray], above: Sequence[int], prime: int | None, scratch: Scratch
) -> int:
    """The count modulo a prime, or modulo 2**64 if there is none."""
    reduced: dict[int, IntArray] = {}

    def of(number: int) -> IntArray:
        if number in reduced:
            return reduced[number]
        return values[number] if prime is None else values[number] % prime

    for number in above:
        node = circuit.node(number)
        found = _node(node, of(node.left), of(node.right) if node.right >= 0 else None, scratch)
        reduced[number] = found if prime is None else found % prime
    return int(reduced[circuit.root][0]) % (prime or _WORD)


def _node(node: Node, left: IntArray, right: IntArray | None, scratch: Scratch) -> IntArray:
    pairs = scratch.take(left, node.lefts)
    if right is not None:
        pairs *= scratch.take(right, node.rights, 1)
    if node.single:
        return pairs.copy()
    total: IntArray = np.add.reduceat(pairs, node.begin[:-1])
    return total


def _by_hand(circuit: Circuit, values: Mapping[int, IntArray], above: Sequence[int]) -> int:
    """The same in Python integers, where runs are too long for the primes at hand."""
    counts = {n: v.astype(object) for n, v in values.items()}
    for number in above:
        node = circuit.node(number)
        pairs = counts[node.left][node.lefts]
        if node.right >= 0:
            pairs = pairs * counts[node.right][node.rights]
        counts[number] = pairs if node.single else np.add.reduceat(pairs, node.begin[:-1])
    return int(counts[circuit.root][0])


@lru_cache(maxsize=32)
def _primes(bits: int, number: int = 400) -> tuple[int, ...]:
    """The largest primes of at most ``bits`` bits, largest first (fewer than ``number`` if there are no more)."""
    width = min(2**bits, 40 * number * bits)
    low = 2**bits - width
    sieve = np.ones(width, dtype=bool)
    for p in _small_primes(int(2 ** (bits / 2)) + 1):
        sieve[max(-(-low // p) * p, p * p) - low :: p] = False
    found = np.flatnonzero(sieve) + low
    return tuple(int(p) for p in found[found > 1][::-1][:number])


def _small_primes(most: int) -> list[int]:
    sieve = np.ones(most + 1, dtype=bool)
    sieve[:2] = False
    for p in range(2, int(most**0.5) + 1):
        sieve[p * p :: p] = False
    return [int(p) for p in np.flatnonzero(sieve)]
