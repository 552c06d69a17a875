"""One photo a fact, in the book: looked at before it is believed, made small, its secrets left out.

A photo from a phone says where it was taken. What is stored is drawn anew from its pixels, so
nothing but the pixels comes in.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from datetime import datetime

from brinebook.book import facts as stored
from brinebook.book import photos
from brinebook.book.identity import to_us
from brinebook.desk.opening import OpenSystem
from brinebook.errors import InputProblem
from brinebook.texts import say

MOST_BYTES = 15 * 2**20
#: The longest side of what is kept, and of the small one beside an entry, in pixels.
SIDE, SMALL_SIDE = 1600, 240
_MOST_PIXELS = 80_000_000
_FORMATS = ("JPEG", "PNG", "WEBP")


class PhotoUnreadable(InputProblem):
    """What was sent as a photo isn't one that is read here."""

    code = "E-PHOTO"

    def __init__(self, why: str) -> None:
        super().__init__(
            say("The photo can't be taken: {why}.", why=why),
            say("JPEG, PNG and WebP up to 15 MB are read; most phones can send a photo as JPEG."),
        )


@dataclass(frozen=True, slots=True)
class Photo:
    """A photo as it is kept: two JPEGs and the size of the larger one in pixels."""

    content: bytes
    small: bytes
    width: int
    height: int


def read_photo(data: bytes) -> Photo:
    """Draw a photo anew from what was sent, upright, within bounds. Raises PhotoUnreadable."""
    if len(data) > MOST_BYTES:
        raise PhotoUnreadable(say("it has {megabytes:.0f} MB", megabytes=len(data) / 2**20))
    import warnings

    from PIL import Image, ImageOps

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(data), formats=_FORMATS) as image:
                _check_size(image.width, image.height)
                upright = ImageOps.exif_transpose(image).convert("RGB")
    except PhotoUnreadable:
        raise
    except Exception as error:
        raise PhotoUnreadable(say("it isn't a picture that can be read")) from error
    content, size = _drawn(upright, SIDE)
    small, _ = _drawn(upright, SMALL_SIDE)
    return Photo(content, small, *size)


def _check_size(width: int, height: int) -> None:
    if width * height > _MOST_PIXELS:
        raise PhotoUnreadable(say("it has {width} by {height} pixels", width=width, height=height))


def _drawn(image: object, side: int) -> tuple[bytes, tuple[int, int]]:
    from PIL import Image

    assert isinstance(image, Image.Image)
    copy = image.copy()
    copy.thumbnail((side, side))
    bare = Image.frombytes("RGB", copy.size, copy.tobytes())  # pixels, and nothing else
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=82, optimize=True)
    return out.getvalue(), bare.size


def add_photo(opened: OpenSystem, fact: str, photo: Photo, *, now: datetime, by: str) -> None:
    """Keep a photo with a fact, in place of one that it had. Raises FactUnknown."""
    with opened.book.write() as connection:
        chain = stored.chain_of(connection, opened.system_id, fact)
        photos.write_photo(
            connection,
            opened.system_id,
            chain,
            content=photo.content,
            small=photo.small,
            size=(photo.width, photo.height),
            added=(to_us(now), by),
        )


def remove_photo(opened: OpenSystem, fact: str) -> None:
    """Take a fact's photo out of the book for good. Raises FactUnknown."""
    with opened.book.write() as connection:
        chain = stored.chain_of(connection, opened.system_id, fact)
        photos.remove_photo(connection, opened.system_id, chain)


def photo_of(opened: OpenSystem, chain: str, *, small: bool = False) -> bytes | None:
    """The photo of a fact's chain as JPEG; None where it has none."""
    with opened.book.read() as connection:
        return photos.read_photo(connection, opened.system_id, chain, small=small)


def photo_size(opened: OpenSystem, chain: str) -> tuple[int, int] | None:
    """The photo's width and height in pixels; None where the fact has none."""
    with opened.book.read() as connection:
        return photos.photo_size(connection, opened.system_id, chain)
