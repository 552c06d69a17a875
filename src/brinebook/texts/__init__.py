"""Every text that reaches the keeper, in the language and the numbers of the system in use.

``say`` for a sentence, ``say_count`` for one that counts, ``Spoken`` for a table of texts,
``phrase`` for a text that is said later. The keys of sentences are their English forms; texts of
the pages have keys of their own (`pages`). A translation is a folder beside ``en``.
"""

from brinebook.texts.manner import (
    ENGLISH,
    Language,
    Manner,
    as_marked,
    date_order,
    in_use,
    speak,
    speaking,
    typed_as_marked,
)
from brinebook.texts.saying import (
    Spoken,
    SpokenLine,
    begun,
    named,
    phrase,
    say,
    say_count,
    within,
    worded,
)

__all__ = [
    "ENGLISH",
    "Language",
    "Manner",
    "Spoken",
    "SpokenLine",
    "as_marked",
    "begun",
    "date_order",
    "in_use",
    "named",
    "phrase",
    "say",
    "say_count",
    "speak",
    "speaking",
    "typed_as_marked",
    "within",
    "worded",
]
