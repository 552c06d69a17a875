"""A decided chapter as bytes, and back: what is kept of it beside the facts.

The form, all numbers little-endian:

    8 bytes       ``BRNCHAP`` and the version of the form, 1
    4 bytes       length of the head, unsigned
    the head      JSON in UTF-8: key, suspects, changes, the noise learned, time and names of the
                  belief. Floats are written so that they read back to the last bit.
    n floats      the belief's mean, 64 bits each; n is the number of names
    n(n+1)/2      its covariance, the lower triangle row by row, 64 bits each
    16 bytes      BLAKE2b of everything before

Whatever doesn't read back whole is no chapter at all: it is reckoned again from the facts.
"""

from __future__ import annotations

import json
import struct
from dataclasses import astuple
from hashlib import blake2b
from typing import Any

import numpy as np

from brinebook.balance.chapters import Carried
from brinebook.balance.decided import Change, Decided, Suspect
from brinebook.balance.noise import NoiseBelief
from brinebook.balance.state import Belief

_MAGIC = b"BRNCHAP\x01"
_LENGTH = struct.Struct("<I")
_CHECK_BYTES = 16
_FLOAT = np.dtype("<f8")
_SUSPECT = (str, float, str, float, str, str, float)
_CHANGE = (str, str, str, str, float, float, float, float, float)
_NOISE = (str, float, float)


def encode(key: str, chapter: Decided) -> bytes:
    """The chapter of that key as bytes. It has a belief to hand on."""
    belief = chapter.carried.belief
    assert belief is not None
    head = {
        "key": key,
        "suspects": [astuple(each) for each in chapter.suspects],
        "changes": [astuple(each) for each in chapter.changes],
        "noise": [(name, one.factor, one.firm) for name, one in chapter.carried.noise.items()],
        "t": belief.t,
        "names": belief.names,
    }
    text = json.dumps(head, ensure_ascii=False, separators=(",", ":")).encode()
    lower = belief.covariance[np.tril_indices(len(belief.names))]
    numbers = np.concatenate([belief.mean, lower]).astype(_FLOAT).tobytes()
    whole = _MAGIC + _LENGTH.pack(len(text)) + text + numbers
    return whole + _check(whole)


def decode(key: str, content: bytes) -> Decided | None:
    """The chapter of that key; None where the bytes are of another one, damaged or foreign."""
    whole, check = content[:-_CHECK_BYTES], content[-_CHECK_BYTES:]
    if not whole.startswith(_MAGIC) or _check(whole) != check:
        return None
    try:
        return _decoded(key, whole)
    except (ValueError, TypeError, KeyError, struct.error):
        return None


def _decoded(key: str, whole: bytes) -> Decided | None:
    begin = len(_MAGIC) + _LENGTH.size
    (length,) = _LENGTH.unpack(whole[len(_MAGIC) : begin])
    head = json.loads(whole[begin : begin + length].decode())
    numbers = np.frombuffer(whole[begin + length :], dtype=_FLOAT).astype(np.float64)
    (t, *names) = _typed([head["t"], *head["names"]], (float, *[str] * len(head["names"])))
    size = len(names)
    if head["key"] != key or numbers.size != size + size * (size + 1) // 2:
        return None
    if not np.isfinite(numbers).all():
        return None
    covariance = np.zeros((size, size))
    covariance[np.tril_indices(size)] = numbers[size:]
    covariance = covariance + np.tril(covariance, -1).T
    return Decided(
        suspects=tuple(Suspect(*_typed(each, _SUSPECT)) for each in head["suspects"]),
        changes=tuple(Change(*_typed(each, _CHANGE)) for each in head["changes"]),
        carried=Carried(
            Belief(t, tuple(names), numbers[:size].copy(), covariance),
            {
                name: NoiseBelief(factor, firm)
                for name, factor, firm in (_typed(each, _NOISE) for each in head["noise"])
            },
        ),
    )


def _typed(values: list[Any], types: tuple[type, ...]) -> list[Any]:
    """The values, if each is of its type; raises TypeError."""
    if [type(value) for value in values] != list(types):
        raise TypeError
    return values


def _check(whole: bytes) -> bytes:
    return blake2b(whole, digest_size=_CHECK_BYTES).digest()
