"""Write the plot: the stage, risers, drops of mains, and where things stand.

Each function is one transaction, takes turns with others who change the plot of the production, and
puts down who changed what. Who may is for the caller to ask: Action.EDIT_RIG, of a show
Action.LINE_CHECK.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.choice import as_stored
from core.models import Production, Show, User
from core.units import Length
from rigs.checks.supplies import circuit_key
from rigs.models import MainsDrop, PlotChange, PlotPlace, Riser, StageSize
from rigs.plot.carried import Moved, with_what_they_carry
from rigs.plot.circuits import plug, unplug
from rigs.plot.facing import facing_words
from rigs.plot.history import MAINS, STAGE, Says
from rigs.plot.load import plot_of
from rigs.plot.search import index_plot
from rigs.plot.things import placed, spot_of
from rigs.plot.words import OfThing, placed_words, size_words
from rigs.shows.turns import take_turn

_Row = Riser | MainsDrop | PlotPlace

RETIRED_SHOW = gettext_lazy("This show is retired. Restore it before changing its stage.")


@transaction.atomic
def save_stage(size: StageSize, *, by: User) -> StageSize:
    """Store how large the stage is. Raises ValidationError, keyed by field."""
    _lock(size.production, size.show)
    missing = {
        name: _("How many metres?") for name in ("width_m", "depth_m") if not getattr(size, name)
    }
    if missing:
        raise ValidationError(missing)
    size.full_clean()
    size.save()
    with as_stored():
        words = f"{STAGE}: {size_words(size)}"
    _note(size.production, size.show, [words], by)
    return size


@transaction.atomic
def stage_as_usual(show: Show, *, by: User) -> None:
    """Take back what is said of the stage of `show`."""
    _lock(show.leg.production, show)
    if StageSize.objects.filter(show=show).delete()[0]:
        _note(show.leg.production, show, [Says.STAGE_AS_USUAL.in_english()], by)


@transaction.atomic
def save_riser(riser: Riser, *, by: User) -> Riser:
    """Store a new riser, or one that was changed. Raises ValidationError, keyed by field."""
    _lock(riser.production)
    riser.name = " ".join(riser.name.split())
    _check_name(riser, [r.name for r in _others(riser)], str.casefold)
    missing = {
        name: _("A riser is drawn by its size.")
        for name in ("width_m", "depth_m")
        if not getattr(riser, name)
    }
    if missing:
        raise ValidationError(missing)
    _check_place(riser)
    is_new = riser._state.adding
    riser.full_clean()
    along = [] if is_new else _goes_with(riser)
    riser.save()
    with as_stored():
        place = placed(riser, facing_words(riser.faces))
        changed = "" if is_new else OfThing.CHANGED.said()
        what = ", ".join(filter(None, [size_words(riser), place, changed]))
        words = [f"{riser}: {what}"]
        words += [_move(riser.production, each, None) for each in along]
    _note(riser.production, None, words, by)
    return riser


def _goes_with(riser: Riser) -> list[Moved]:
    """What stands on a riser that is about to be stored at another place."""
    own = Moved(f"riser-{riser.pk}", riser.name, spot_of(riser))
    return with_what_they_carry([own], plot_of(riser.production))[1:]


@transaction.atomic
def save_drop(
    drop: MainsDrop,
    *,
    earlier: str = "",
    into: Collection[UUID] = (),
    out_of: Collection[UUID] = (),
    by: User,
) -> MainsDrop:
    """Store a drop, and what is plugged into it; units of its `earlier` name follow it.

    Raises ValidationError, keyed by field.
    """
    _lock(drop.production)
    drop.name = " ".join(drop.name.split())
    _check_name(drop, [other.name for other in _others(drop)], circuit_key)
    _check_place(drop)
    is_new = drop._state.adding
    drop.full_clean()
    drop.save()
    with as_stored():
        changed = "" if is_new else OfThing.CHANGED.said()
        what = ", ".join(filter(None, [drop.labelled, placed_words(drop), changed]))
    words = [f"{MAINS}: {what}"]
    words += plug(drop.production, name=drop.name, earlier=earlier, into=into, out_of=out_of, by=by)
    _note(drop.production, None, words, by)
    return drop


@transaction.atomic
def move(
    production: Production, moved: Sequence[Moved], *, by: User, show: Show | None = None
) -> list[str]:
    """Store new places, all or nothing, for all shows or for `show`. Returns what changed, in
    sentences. What stands on a riser goes along with it.

    The keys are those of the plot of `production`; who asks has looked them up.
    """
    _lock(production, show)
    if any(each.key.startswith("riser-") for each in moved):
        moved = with_what_they_carry(moved, plot_of(production, show))
    # Also what is answered: it is what the history says.
    with as_stored():
        words = [_move(production, each, show) for each in moved]
    _note(production, show, words, by)
    return words


@transaction.atomic
def all_as_usual(show: Show, *, by: User) -> None:
    """Take back every place that differs at `show`."""
    production = show.leg.production
    _lock(production, show)
    if PlotPlace.objects.filter(production=production, show=show).delete()[0]:
        _note(production, show, [Says.ALL_AS_USUAL.in_english()], by)


def _move(production: Production, moved: Moved, show: Show | None) -> str:
    kind, _, key = moved.key.partition("-")
    usual = _row(production, kind, UUID(key))
    if show is not None:
        return _move_at(show, usual, moved)
    _put(usual, moved)
    return _saved(usual, moved.name)


def _move_at(show: Show, usual: _Row, moved: Moved) -> str:
    row = _row_at(show, usual)
    _put(row, moved)
    if not moved.usual and not _same(row, usual):
        return _saved(row, moved.name)
    if not row._state.adding:
        row.delete()
    return Says.AS_USUAL.in_english(name=moved.name)


def _saved(row: _Row, name: str) -> str:
    row.version += not row._state.adding
    row.full_clean()
    row.save()
    facing = facing_words(getattr(row, "faces", None))
    return f"{name}: {placed(row, facing) or OfThing.NO_PLACE.said()}"


def _put(row: _Row, moved: Moved) -> None:
    _set(row, "right", moved.spot.right if moved.spot else None)
    _set(row, "up", moved.spot.up if moved.spot else None)
    for name, length in zip(("width", "depth"), moved.size or (), strict=False):
        _set(row, name, length)
    if moved.turns and not isinstance(row, MainsDrop):
        row.faces = moved.faces


def _row(production: Production, kind: str, key: UUID) -> _Row:
    """The row that holds the place of a thing for all shows, perhaps a new one."""
    if kind == "riser":
        return Riser.objects.get(pk=key, production=production)
    if kind == "mains":
        return MainsDrop.objects.get(pk=key, production=production)
    column = "monitor" if kind == "monitor" else f"{kind}_id"
    rows = PlotPlace.objects.filter(production=production, show=None, **{column: key})
    return rows.first() or PlotPlace(production=production, **{column: key})


# What of a row is told of a thing; risers and drops have no size that differs at a show.
_TOLD = ("right", "up", "width", "depth")


def _row_at(show: Show, usual: _Row) -> PlotPlace:
    """The row that holds the place of a thing at `show`; a new one begins as for all shows."""
    if isinstance(usual, Riser):
        of = {"riser_id": usual.pk}
    elif isinstance(usual, MainsDrop):
        of = {"drop_id": usual.pk}
    else:
        of = usual.pointing
    row = PlotPlace.objects.filter(show=show, **of).first()
    if row is not None:
        return row
    row = PlotPlace(production=usual.production, show=show, **of)
    for name in _said_by(usual):
        setattr(row, name, getattr(usual, name))
    return row


def _said_by(usual: _Row) -> list[str]:
    told = _TOLD if isinstance(usual, PlotPlace) else _TOLD[:2]
    lengths = [f"{name}_{part}" for name in told for part in ("m", "unit")]
    return lengths if isinstance(usual, MainsDrop) else [*lengths, "faces"]


def _same(row: PlotPlace, usual: _Row) -> bool:
    """Whether a show has nothing of its own; in which unit it is said does not matter."""
    said = [name for name in _said_by(usual) if not name.endswith("_unit")]
    return all(getattr(row, name) == getattr(usual, name) for name in said)


def _set(row: _Row, name: str, length: Length | None) -> None:
    setattr(row, f"{name}_m", length.metres if length else None)
    if length is not None:
        setattr(row, f"{name}_unit", length.unit)


@transaction.atomic
def retire_riser(riser: Riser, *, by: User) -> None:
    _lock(riser.production)
    riser.retire()
    _note(riser.production, None, [Says.TAKEN_OFF.in_english(name=riser)], by)


@transaction.atomic
def retire_drop(drop: MainsDrop, *, by: User) -> None:
    """Take a drop off; no unit names it any more. Raises ValidationError where somebody changed
    one of them meanwhile."""
    _lock(drop.production)
    drop.retire()
    words = unplug(drop.production, drop.name, by=by)
    _note(drop.production, None, [Says.DROP_TAKEN_OFF.in_english(name=drop), *words], by)


def _others(thing: Riser | MainsDrop) -> Sequence[Riser | MainsDrop]:
    model = type(thing)
    return list(model.objects.live().filter(production=thing.production).exclude(pk=thing.pk))


def _check_name(thing: Riser | MainsDrop, others: Sequence[str], key: Callable[[str], str]) -> None:
    same = key(thing.name)
    if any(key(other) == same for other in others):
        raise ValidationError({"name": _("Another one is called so.")})


def _check_place(thing: Riser | MainsDrop) -> None:
    """A place has two figures or none."""
    for name, other in (("right_m", "up_m"), ("up_m", "right_m")):
        if getattr(thing, name) is None and getattr(thing, other) is not None:
            raise ValidationError({name: _("A place needs both: to stage right, and upstage.")})


def _lock(production: Production, show: Show | None = None) -> None:
    """Whoever changes a plot of the production waits here for who does already."""
    take_turn(production, show, str(RETIRED_SHOW))


def _note(production: Production, show: Show | None, words: Sequence[str], by: User) -> None:
    if not words:
        return
    PlotChange(production=production, show=show, words=list(words)).put_down(by)
    if show is None:
        index_plot(production)
