"""Why nothing is said of the time between two clips, and what to measure: in the same words
wherever it is asked. No Django."""

from __future__ import annotations

from typing import NamedTuple

from core.languages.marked import Said, gettext_noop, ngettext_lazy

_BOTH_AT_ONCE = Said(
    gettext_noop(
        "Record several separate notes or strokes through both at once, with as little else "
        "sounding as can be, and measure those."
    )
)


class UnclearTiming(NamedTuple):
    """`why` completes “… cannot be told: ”; `measure` is a whole sentence."""

    why: str
    measure: str

    def sentences(self, names: tuple[str, ...]) -> str:
        """`names` are the clips or inputs it is about, “A” and “B”."""
        return Said(
            gettext_noop(
                "Cannot tell how far apart {names} are in time, nor whether their polarity is "
                "alike: {why}. {measure}"
            ),
            names=names,
            why=self.why,
            measure=self.measure,
        )


TWO_PERFORMANCES = UnclearTiming(
    Said(
        gettext_noop(
            "they are two performances, which were never together, or too much else is in one of "
            "them"
        )
    ),
    _BOTH_AT_ONCE,
)
RIVAL = UnclearTiming(
    Said(
        gettext_noop(
            "another delay fits nearly as well, as it does with a held tone, which is like "
            "itself a "
            "period later"
        )
    ),
    _BOTH_AT_ONCE,
)
EITHER_POLARITY = UnclearTiming(
    Said(
        gettext_noop(
            "either polarity fits nearly as well, a fraction of a millisecond apart, because one "
            "of them "
            "colours the sound strongly"
        )
    ),
    Said(
        gettext_noop(
            "Turn one of them over at the desk and listen for which way the lows are stronger."
        )
    ),
)
TWO_SOURCES = UnclearTiming(
    Said(
        gettext_noop(
            "the loudest of it does not agree with the rest, as where both microphones hear "
            "another source"
        )
    ),
    Said(
        gettext_noop(
            "Measure while the others rest, or with a DI, which hears nothing else. Or write down "
            "how far each is from one point of the source: a delay that the tape bears out is told."
        )
    ),
)
LOUDEST_OPEN = UnclearTiming(
    Said(
        gettext_noop(
            "the loudest of it fits other delays nearly as well, and what decides between them may "
            "be another source that both hear"
        )
    ),
    Said(
        gettext_noop(
            "Measure with a DI, which hears nothing else. Or write down how far each is from one "
            "point of the source: a delay that the tape bears out is told."
        )
    ),
)
# Said beside a sure answer where nothing but the sound speaks for it.
ANOTHER_SOURCE = Said(
    gettext_noop(
        "Where both are microphones, nothing but the sound says that this is the delay of this "
        "source, and not of another that both hear. On recordings with another source beside it "
        "one of 37 such answers was that one’s. Compare with the tape measure, or measure with a "
        "DI."
    )
)
NOT_BEGUN_TOGETHER = UnclearTiming(
    Said(
        gettext_noop(
            "they lie further apart than anything on one stage, so their recordings did not "
            "begin together"
        )
    ),
    Said(gettext_noop("Measure two tracks of one recorder, whole or cut from it here.")),
)


def unreadable(why: str) -> UnclearTiming:
    """The doubt about what is silent or too short; `why` is what the estimator said of it."""
    return UnclearTiming(why or Said(gettext_noop("there is nothing to measure")), _BOTH_AT_ONCE)


# Said beside a delay of two files that leave open how late they are, but alike.
PACKED_ALIKE = Said(
    gettext_noop(
        "Both files are packed with loss and do not say by how much that delays them. It is taken "
        "that one device packed both, and delayed both alike."
    )
)


def packed(names: tuple[str, ...]) -> UnclearTiming:
    """The doubt about files of which it is not known by how much their packing delays them."""
    return UnclearTiming(
        ngettext_lazy(
            "{names} is packed with loss and does not say by how much that delays it, which may be "
            "some 20 to 50 ms",
            "{names} are packed with loss and do not say by how much that delays them, which may "
            "be some 20 to 50 ms",
            len(names),
            names=names,
        ),
        Said(gettext_noop("Send both as the recorder wrote them, in WAV or FLAC.")),
    )
