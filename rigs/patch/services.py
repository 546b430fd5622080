"""Write the patch: the ways of inputs, boxes, runs between them, what is lent at a show.

Each function is one transaction, takes turns with others who change the patch of the production,
and puts down who changed what. Who may is for the caller to ask: Action.EDIT_RIG, of a show
Action.LINE_CHECK.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from core.languages.choice import as_stored
from core.models import Production, Show, User
from core.moments import written
from rigs.checks.stage import Way
from rigs.models import LentLine, PatchBox, PatchBoxAtShow, PatchChange, PatchLine, PatchRun
from rigs.models.patch import missing_way, span
from rigs.patch.history import NO_WAY, OfLine, Says
from rigs.patch.landing import Boxes
from rigs.patch.load import Patch, box_facts, name_of, patch_of, run_facts
from rigs.patch.search import index_boxes
from rigs.patch.words import BoxName, read_runs
from rigs.shows.rigs import shows_after
from rigs.shows.turns import take_turn

# What of a line is written; anything else is who and when.
FIELDS = ("box", "way", "monitor_channel", "split", "phantom_from")
RETIRED_SHOW = gettext_lazy("This show is retired. Restore it before changing its patch.")
NOTHING: Mapping[str, Any] = {
    "box": None,
    "way": None,
    "monitor_channel": None,
    "split": "",
    "phantom_from": "",
}


@transaction.atomic
def write_lines(
    production: Production,
    changes: Mapping[UUID, Mapping[str, Any]],
    *,
    names: Mapping[UUID, str],
    by: User,
    show: Show | None = None,
) -> list[str]:
    """Set fields of the lines of inputs, for all shows or for `show`; what is not named stays.

    `changes` are by input, of FIELDS; `names` say what the inputs are called. Returns what changed,
    in sentences. Raises ValidationError for a way that is not there, and for a retired show. As
    many queries for many inputs as for one.
    """
    _lock(production, show)
    patch = patch_of(production, show)
    boxes = {box.pk: box for box in patch.boxes}
    words: list[str] = []
    new: list[PatchLine] = []
    kept: list[PatchLine] = []
    gone: list[UUID] = []
    for entry, values in changes.items():
        before = patch.stored.get(entry)
        then = {**values_of(before), **values}
        if then["box"] is not None:
            # As it is that night: what stands in its place may have other ways.
            then["box"] = boxes.get(then["box"].pk, then["box"])
        _check_way(then, names[entry])
        if then == values_of(before):
            continue
        words.append(f"{names[entry]}: {_in_words(then, before)}")
        row = _row(patch, entry)
        if show is not None and then == values_of(patch.usual.get(entry)):
            gone.append(row.pk)
            continue
        for name, value in then.items():
            setattr(row, name, value)
        row.by, row.by_name, row.at = by, by.name, written().at
        row.version += not row._state.adding
        row.clean_fields(exclude=["input", "show", "box", "by"])
        (new if row._state.adding else kept).append(row)
    PatchLine.objects.bulk_create(new)
    PatchLine.objects.bulk_update(kept, [*FIELDS, "by", "by_name", "at", "version"])
    PatchLine.objects.filter(pk__in=gone).delete()
    _note(production, show, words, by)
    return words


@transaction.atomic
def as_for_all_shows(show: Show, entry: UUID, *, name: str, by: User) -> None:
    """Take back what the patch of `show` says of an input."""
    _lock(show.leg.production, show)
    if PatchLine.objects.filter(show=show, input=entry).delete()[0]:
        _note(show.leg.production, show, [Says.AS_USUAL.in_english(name=name)], by)


@transaction.atomic
def save_box(box: PatchBox, *, by: User) -> PatchBox:
    """Store a new box, or one that was changed. Raises ValidationError, keyed by field."""
    _lock(box.production)
    box.mark, box.name = " ".join(box.mark.split()), " ".join(box.name.split())
    others = PatchBox.objects.live().filter(production=box.production).exclude(pk=box.pk)
    for field in ("mark", "name"):
        said = getattr(box, field).casefold()
        if any(said in (other.mark.casefold(), other.name.casefold()) for other in others):
            raise ValidationError({field: _("Another box is called so.")})
    is_new = box._state.adding
    if not is_new and (last := _last_used(box)) > box.ways:
        raise ValidationError(
            {
                "ways": _("Way {mark} {last} is in use: free it first.").format(
                    mark=box.mark, last=last
                )
            }
        )
    if is_new:
        box.position = max((other.position for other in others), default=-1) + 1
    box.full_clean()
    box.save()
    with as_stored():
        words = (Says.NEW_BOX if is_new else Says.BOX).said(
            name=box.name, kind=box.get_kind_display(), mark=box.mark, n=box.ways
        )
    _note(box.production, None, [words], by)
    return box


@transaction.atomic
def retire_box(box: PatchBox, *, by: User) -> None:
    """Put a box away. Raises ValidationError where something is plugged into it still."""
    _lock(box.production)
    if last := _last_used(box):
        raise ValidationError(
            _("Way {mark} {last} is in use: free its ways first.").format(mark=box.mark, last=last)
        )
    box.retire()
    _note(box.production, None, [Says.TAKEN_OFF.in_english(name=box.name)], by)


def _last_used(box: PatchBox) -> int:
    """The highest way into which something is plugged, at whatever show; 0 for none."""
    ends = [run.first + run.count - 1 for run in box.runs.all()]
    ends += [run.target_first + run.count - 1 for run in box.fed_by.all()]
    ends += [lent.first + (lent.count or 1) - 1 for lent in box.lent.all() if lent.first]
    lines = box.lines.filter(input__retired=False, input__rig__retired=False)
    return max([*ends, *(way for way in lines.values_list("way", flat=True) if way)], default=0)


@transaction.atomic
def add_run(run: PatchRun, *, by: User) -> PatchRun:
    """Plug ways of one box into another. Raises ValidationError, keyed by field, for ways that are
    not there or taken, and for what would lead in a circle."""
    production = run.source.production
    _lock(production)
    run.full_clean()
    for name, box, first in (
        ("first", run.source, run.first),
        ("target_first", run.target, run.target_first),
    ):
        if missing := missing_way(box, first, run.count):
            raise ValidationError({name: missing})
    there = patch_of(production).runs
    _check_free(run, there)
    boxes = Boxes(
        map(box_facts, PatchBox.objects.live().filter(production=production)),
        [*map(run_facts, there), run_facts(run)],
    )
    starts = (Way(str(run.source_id), run.first + step) for step in range(run.count))
    if any(boxes.chain(start).circle for start in starts):
        raise ValidationError({"target": _("That would lead back to where it came from.")})
    run.save()
    _note(production, None, [Says.PLUGGED.in_english(run=run)], by)
    return run


def _check_free(run: PatchRun, there: Iterable[PatchRun]) -> None:
    for other in there:
        if other.source_id == run.source_id and _meet(
            run.first, run.count, other.first, other.count
        ):
            taken = f"{run.source.mark} {span(other.first, other.count)}"
            raise ValidationError(
                {
                    "first": _("{taken} is plugged already: {other}.").format(
                        taken=taken, other=other
                    )
                }
            )
        if other.target_id == run.target_id and _meet(
            run.target_first, run.count, other.target_first, other.count
        ):
            raise ValidationError(
                {"target_first": _("Something is plugged in there: {other}.").format(other=other)}
            )


def _meet(first: int, count: int, other: int, others: int) -> bool:
    return first < other + others and other < first + count


@transaction.atomic
def remove_run(run: PatchRun, *, by: User) -> None:
    _lock(run.source.production)
    words = Says.TAKEN_OUT.in_english(run=run)
    if PatchRun.objects.filter(pk=run.pk).delete()[0]:
        _note(run.source.production, None, [words], by)


@transaction.atomic
def save_box_at(layer: PatchBoxAtShow, *, by: User, later_too: bool = False) -> PatchBoxAtShow:
    """Store what stands in the place of a box at a show, and with `later_too` at the later shows of
    the leg of which nobody has said anything. Raises ValidationError, keyed by field, for ways that
    are not there or in use, and for what would lead in a circle. The patch of all shows stays."""
    show, box = layer.show, layer.box
    _lock(box.production, show)
    layer.by, layer.by_name, layer.at = by, by.name, written().at
    layer.full_clean()
    _check_layer(layer)
    layer.save()
    with as_stored():
        words = f"{box.mark}: {layer.said}"
    _note(box.production, show, [words], by)
    for later in shows_after(show) if later_too else ():
        values = {name: getattr(layer, name) for name in ("name", "ways", "place", "runs", "words")}
        who = {"by": by, "by_name": by.name}
        _row_there, made = PatchBoxAtShow.objects.get_or_create(
            show=later, box=box, defaults={**values, **who}
        )
        if made:
            _note(box.production, later, [words], by)
    return layer


def _check_layer(layer: PatchBoxAtShow) -> None:
    show, box = layer.show, layer.box
    patch = patch_of(box.production, show)
    usual = next(each for each in patch.boxes if each.pk == box.pk)
    # Read anew, since the patch shows it as it was that night until now.
    ways = layer.ways or PatchBox.objects.get(pk=box.pk).ways
    name = BoxName(str(box.pk), box.mark, layer.name or box.name, ways)
    others = [name, *(name_of(each) for each in patch.boxes if each.pk != box.pk)]
    try:
        found, _to_desk = read_runs(layer.runs, name, others)
    except ValueError as error:
        raise ValidationError({"runs": str(error)}) from None
    used = [row.way for row in patch.stored.values() if row.box_id == box.pk and row.way]
    used += [lent.first + (lent.count or 1) - 1 for lent in patch.lent if _takes(lent, box)]
    used += [r.target_first + r.count - 1 for r in patch.runs if r.target_id == box.pk]
    if not layer.runs:
        used += [r.first + r.count - 1 for r in patch.runs if r.source_id == box.pk]
    if (last := max(used, default=0)) > ways:
        taken = _(
            "Way {mark} {last} is in use that night: give what is there another way first."
        ).format(mark=box.mark, last=last)
        raise ValidationError({"ways": taken})
    targets = {str(each.pk): each for each in patch.boxes}
    there = [run for run in patch.runs if run.source_id != box.pk]
    for first, into in found:
        count = into.last - into.first + 1
        run = PatchRun(
            source=usual, first=first, target=targets[into.box.id], target_first=into.first
        )
        run.count = count
        try:
            _check_free(run, there)
        except ValidationError as taken_way:
            raise ValidationError({"runs": taken_way.messages}) from None
        there.append(run)
    facts = {each.id: each for each in map(box_facts, patch.boxes)}
    facts[str(box.pk)] = facts[str(box.pk)]._replace(ways=ways)
    boxes = Boxes(facts.values(), map(run_facts, there))
    if any(boxes.chain(Way(str(box.pk), first)).circle for first in range(1, ways + 1)):
        raise ValidationError({"runs": _("That would lead back to where it came from.")})


def _takes(lent: LentLine, box: PatchBox) -> bool:
    return lent.box_id == box.pk and lent.first is not None


@transaction.atomic
def box_as_usual(show: Show, box: PatchBox, *, by: User) -> None:
    """Take back what stands in the place of `box` at `show`: it is as for all shows."""
    _lock(box.production, show)
    if PatchBoxAtShow.objects.filter(show=show, box=box).delete()[0]:
        _note(box.production, show, [Says.AS_USUAL.in_english(name=box.mark)], by)


@transaction.atomic
def save_lent(lent: LentLine, *, by: User) -> LentLine:
    """Store what is lent or borrowed at a show. Raises ValidationError, keyed by field."""
    _lock(lent.show.leg.production, lent.show)
    lent.by, lent.by_name, lent.at = by, by.name, written().at
    lent.full_clean()
    lent.save()
    _note(lent.show.leg.production, lent.show, [_lent_words(lent)], by)
    return lent


@transaction.atomic
def remove_lent(lent: LentLine, *, by: User) -> None:
    _lock(lent.show.leg.production, lent.show)
    is_lent = lent.direction == LentLine.Direction.LENT
    said = Says.LENT_NO_MORE if is_lent else Says.BORROWED_NO_MORE
    words = said.in_english(what=lent.what, act=lent.act)
    if LentLine.objects.filter(pk=lent.pk).delete()[0]:
        _note(lent.show.leg.production, lent.show, [words], by)


def _lent_words(lent: LentLine) -> str:
    said = Says.LENT if lent.direction == LentLine.Direction.LENT else Says.BORROWED
    words = said.in_english(what=lent.what, act=lent.act)
    return f"{words}: {lent.ways}" if lent.ways else words


def values_of(row: PatchLine | None) -> dict[str, Any]:
    """What a row says, by FIELDS; without a row nothing."""
    if row is None:
        return dict(NOTHING)
    return {name: getattr(row, name) for name in FIELDS}


def _row(patch: Patch, entry: UUID) -> PatchLine:
    row = patch.stored.get(entry)
    if row is not None and (row.show_id is None) == (patch.show is None):
        return row
    return PatchLine(input_id=entry, show=patch.show)


def _check_way(then: Mapping[str, Any], name: str) -> None:
    box, way = then["box"], then["way"]
    if box is None and way is not None:
        raise ValidationError(
            {"box": _("{name}: which box is way {way} of?").format(name=name, way=way)}
        )
    if box is not None and way is None:
        raise ValidationError(
            {"way": _("{name}: which way of {name_2}?").format(name=name, name_2=box.name)}
        )
    if box is not None and (missing := missing_way(box, way)):
        raise ValidationError({"way": missing})


def _in_words(then: Mapping[str, Any], row: PatchLine | None) -> str:
    """“A 1 → D 1, monitor 4”: what a line becomes, beside what it was, as the history keeps it."""
    before = values_of(row)
    parts = []
    if (then["box"], then["way"]) != (before["box"], before["way"]):
        was, now = (_way(values) for values in (before, then))
        parts.append(f"{was} → {now}" if before["box"] else now)
    if then["monitor_channel"] != before["monitor_channel"]:
        channel = then["monitor_channel"]
        said = OfLine.MONITOR if channel else OfLine.NO_MONITOR
        parts.append(said.in_english(channel=channel))
    shown = PatchLine(**{name: then[name] for name in ("split", "phantom_from")})
    if then["split"] != before["split"]:
        said = OfLine.SPLIT if then["split"] else OfLine.SPLIT_AS_BOX
        parts.append(said.in_english(split=then["split"]))
    if then["phantom_from"] != before["phantom_from"]:
        with as_stored():
            parts.append(OfLine.PHANTOM.in_english(source=shown.get_phantom_from_display()))
    return ", ".join(parts)


def _way(values: Mapping[str, Any]) -> str:
    return f"{values['box'].mark} {values['way']}" if values["box"] else NO_WAY


def _lock(production: Production, show: Show | None = None) -> None:
    """Whoever changes a patch of the production waits here for who does already."""
    take_turn(production, show, RETIRED_SHOW)


def _note(production: Production, show: Show | None, words: Sequence[str], by: User) -> None:
    if not words:
        return
    PatchChange(production=production, show=show, words=list(words)).put_down(by)
    if show is None:
        index_boxes(production)
