"""The Merkle tree of RFC 6962, section 2.1, over the hashes of a log's events; it grows without being rebuilt.

`peaks` are the roots of the perfect subtrees from the left, one for each binary 1 of the size.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable

__all__ = ["grow", "root"]


def grow(peaks: list[bytes], size: int, leaves: Iterable[bytes]) -> int:
    """Add leaves to the tree of `size` leaves [-] with these peaks, in place; gives the new size [-]."""
    for leaf in leaves:
        node = hashlib.sha256(b"\0" + leaf).digest()
        left = size
        while left & 1:
            node = hashlib.sha256(b"\1" + peaks.pop() + node).digest()
            left >>= 1
        peaks.append(node)
        size += 1
    return size


def root(peaks: list[bytes]) -> bytes:
    """The tree's root: MTH of RFC 6962; of no leaf, the hash of nothing."""
    if not peaks:
        return hashlib.sha256(b"").digest()
    node = peaks[-1]
    for left in reversed(peaks[:-1]):
        node = hashlib.sha256(b"\1" + left + node).digest()
    return node
