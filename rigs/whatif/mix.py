"""Other air, or another distance to the mix position. Pure."""

from __future__ import annotations

from rigs.whatif.air import LEFT_OUT, Room, band_label, changes, in_words
from rigs.whatif.answers import NOW_THEN, Answer, Caution, Table, air_plot, number

CAUTION = Caution(
    "Mind the ears",
    "Making up for the air with more top end makes it louder for those who sit near the "
    "loudspeakers. Local law on sound levels comes first.",
    "ear",
)


def answer(now: Room, then: Room) -> Answer:
    """Delay and loss by band; `then` is whole, `now` may lack what nobody has measured."""
    if then.losses is None:
        raise ValueError(then.beyond or "Temperature, humidity and distance are needed.")
    difference = changes(now, then)
    problems = [f"{now.name}: {', '.join(now.missing)} not measured."] if now.missing else []
    return Answer(
        in_words(difference, now.name) if difference else "",
        (Table("Delay, and what the air takes", NOW_THEN, _rows(now, then)),),
        (*problems, *([now.beyond] if now.beyond else [])),
        (LEFT_OUT, *([then.assumes] if then.assumes else [])),
        _plot(now, then, then.losses),
        None,
        CAUTION,
    )


def _rows(now: Room, then: Room) -> tuple[tuple[str, ...], ...]:
    delays = (
        "not known" if room.delay is None else number(room.delay * 1000, "ms")
        for room in (now, then)
    )
    bands = (
        (
            band_label(band),
            *(
                "not known" if room.losses is None else number(-room.losses[band], "dB")
                for room in (now, then)
            ),
        )
        for band in then.losses or {}
    )
    return (("Delay", *delays), *bands)


def _plot(now: Room, then: Room, losses: dict[str, float]) -> str:
    drawn = {then.name: losses} | ({f"now: {now.name}": now.losses} if now.losses else {})
    told = ", ".join(f"{band_label(band)} {number(-loss, 'dB')}" for band, loss in losses.items())
    return air_plot(drawn, title="What the air takes from each octave band", desc=f"Then: {told}.")
