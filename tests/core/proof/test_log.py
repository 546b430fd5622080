"""Everything that is written is in the log, in the transaction that wrote it."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import transaction

from core.models import Checkpoint, LogEntry, LogNode, LogSalt, Song
from core.proof import key, nodes
from core.proof.checkpoints import consistency, inclusion, leaves_of, newest, stated, take
from core.proof.code import read_code
from core.proof.entries import silent, write
from core.proof.kept import fits
from core.proof.merkle import grew, includes, root_of
from core.proof.verify import broken_log
from notes.models import Note
from tests.support.everything import fill
from tests.support.world import World

pytestmark = pytest.mark.django_db


def about(record: Any) -> list[LogEntry]:
    table = f"{record._meta.app_label}.{record._meta.model_name}"
    return list(LogEntry.objects.filter(table=table, key=str(record.pk)))


def test_whatever_is_written_verifies(world: World) -> None:
    fill(world)
    assert list(broken_log(world.production)) == []
    tables = set(LogEntry.objects.values_list("table", flat=True))
    # A small world has most of what there is; tests/notes/archive has a row of everything.
    assert len(tables) > 40, tables


def test_saving_updating_and_deleting_leave_an_entry_each(world: World) -> None:
    song = Song.objects.create(production=world.production, title="Wicket")
    assert len(about(song)) == 1
    song.title = "Wicket Gate"
    song.save()
    Song.objects.filter(pk=song.pk).update(title="Gate")
    Song.objects.filter(production=world.production, title="Gate").update(title="Gates")
    Song.objects.bulk_update([song], ["title"])
    assert len(about(song)) == 5
    assert list(broken_log(world.production)) == []
    pk = song.pk
    song.delete()
    last = LogEntry.objects.filter(table="core.song", key=str(pk)).last()
    assert last is not None
    assert bytes(last.digest) == b""
    assert not LogSalt.objects.filter(key=str(pk)).exists()
    assert list(broken_log(world.production)) == []


def test_what_is_undone_leaves_none(world: World) -> None:
    before = LogEntry.objects.count()
    sid = transaction.savepoint()
    Song.objects.create(production=world.production, title="Wicket")
    assert LogEntry.objects.count() == before + 1
    transaction.savepoint_rollback(sid)
    assert LogEntry.objects.count() == before


def test_an_edit_of_a_rig_is_one_entry(world: World) -> None:
    before = LogEntry.objects.count()
    revision = world.turn("9:00")
    assert revision is not None
    (made,) = LogEntry.objects.order_by("pk")[before:]
    assert (made.table, made.key) == ("rigs.revision", f"{world.rig.pk}/{revision.number}")
    assert bytes(made.digest).hex() == revision.digest


def test_names_and_words_go_in_as_commitments_alone(world: World) -> None:
    """The same words twice leave two digests, and an older version cannot be tried out."""
    songs = [Song.objects.create(production=world.production, title="Same") for _ in range(2)]
    first = LogSalt.objects.get(key=str(songs[0].pk)).salt
    songs[0].save()
    assert LogSalt.objects.get(key=str(songs[0].pk)).salt != first
    one, two = (bytes(entry.digest) for entry in about(songs[0]))
    assert one != two


def test_checkpoints_prove_that_a_log_only_grew(world: World, signed: key.Key) -> None:
    first = take(world.production.pk, Checkpoint.Why.ASKED)
    world.turn("9:00")
    world.turn("10:00")
    second = take(world.production.pk, Checkpoint.Why.ASKED)
    assert first
    assert second
    assert newest(world.production.pk) == second
    assert second.size == first.size + 2
    own = world.production.pk
    proof = [bytes.fromhex(step) for step in consistency(own, first.size, second.size)]
    roots = [bytes.fromhex(each.root) for each in (first, second)]
    assert grew(first.size, roots[0], second.size, roots[1], proof)
    leaf, path = inclusion(own, second.size - 1, second.size)
    assert includes(
        bytes.fromhex(leaf), second.size - 1, second.size, list(map(bytes.fromhex, path)), roots[1]
    )
    assert fits(own, read_code(stated(first).code))
    assert not fits(own, read_code(f"{second.size}{stated(first).code[len(str(first.size)) :]}"))
    assert take(own, Checkpoint.Why.ASKED) == second  # nothing was written since


def test_an_old_entry_put_in_again_is_found(world: World) -> None:
    """With the record set back to what it said then, and the salt of then."""
    song = Song.objects.create(production=world.production, title="Wicket")
    old, salt = about(song)[0], LogSalt.objects.get(key=str(song.pk)).salt
    song.title = "Gate"
    song.save()
    assert list(broken_log(world.production)) == []
    with silent():
        Song.objects.filter(pk=song.pk).update(title="Wicket")
    LogSalt.objects.filter(key=str(song.pk)).update(salt=salt)
    old.pk = None
    old.save(force_insert=True)
    (words,) = broken_log(world.production)
    assert "is an old one again" in words


def test_a_checkpoint_says_who_signed_it(world: World, signed: key.Key) -> None:
    made = take(world.production.pk, Checkpoint.Why.ASKED)
    assert made is not None
    said = stated(made)
    assert said.is_signed()
    assert said.public_key == signed.public
    assert said.protected
    assert not said._replace(size=said.size + 1).is_signed()
    assert not said._replace(protected=False).is_signed()


def test_without_a_key_there_are_roots_all_the_same(world: World, settings: Any) -> None:
    settings.SIGNING_KEY = None
    made = take(world.production.pk, Checkpoint.Why.ASKED)
    assert made is not None
    assert not made.signature
    assert list(broken_log(world.production)) == []


def test_going_on_from_a_checkpoint_reads_what_came_since(world: World, signed: key.Key) -> None:
    fill(world)
    take(world.production.pk, Checkpoint.Why.ASKED)
    note = Note.objects.first()
    assert note is not None
    note.words = "Other words, and put down."
    note.save()
    assert list(broken_log(world.production, go_on=True)) == []
    with_salt = LogSalt.objects.get(table="notes.note", key=str(note.pk))
    with_salt.salt = "0" * 32
    with_salt.save()
    (words,) = broken_log(world.production, go_on=True)
    assert f"note {note.pk} is not what was written" in words.lower()


ENTRIES = 3 * nodes.SIZE + 41


@pytest.fixture
def long_log(world: World) -> World:
    """As many entries as make three nodes and a ragged end, a checkpoint now and then."""
    own = world.production.pk
    begun = LogEntry.objects.filter(production=own).count()
    for number in range(begun, ENTRIES):
        write([(own, "notes.note", f"made up {number}", bytes(32))])
        if number in (100, 511, 512, 700):
            take(own, Checkpoint.Why.ASKED)
    take(own, Checkpoint.Why.ASKED)
    return world


def test_proofs_from_nodes_are_those_of_all_entries(long_log: World) -> None:
    own = long_log.production.pk
    leaves = leaves_of(own, ENTRIES)
    assert LogNode.objects.filter(production=own).count() == 3
    ids = list(LogEntry.objects.filter(production=own).order_by("pk").values_list("pk", flat=True))
    for size in (1, 255, 256, 257, 511, 512, 700, 768, ENTRIES):
        assert nodes.id_at(own, size) == ids[size - 1]
        assert nodes.place_of(own, ids[size - 1]) == size - 1
        tree = nodes.Tree(own, size)
        assert tree.root(0, size) == root_of(leaves[:size])
        for index in {0, size // 3, size - 1}:
            leaf, path = inclusion(own, index, size)
            assert bytes.fromhex(leaf) == leaves[index]
            steps = [bytes.fromhex(step) for step in path]
            assert includes(leaves[index], index, size, steps, root_of(leaves[:size]))
        for first in {1, size // 2 or 1, max(1, size - 300), size}:
            steps = [bytes.fromhex(step) for step in consistency(own, first, size)]
            roots = root_of(leaves[:first]), root_of(leaves[:size])
            assert grew(first, roots[0], size, roots[1], steps)


def test_a_proof_reads_a_few_entries_of_a_long_log(
    long_log: World, django_assert_num_queries: Any
) -> None:
    own = long_log.production.pk
    with django_assert_num_queries(5):  # nodes; where it ends; the end; one node’s entries
        consistency(own, 700, ENTRIES)


def test_no_tree_is_longer_than_its_log(long_log: World) -> None:
    with pytest.raises(ValueError, match="does not have"):
        consistency(long_log.production.pk, 5, ENTRIES + 1)


def test_a_node_that_is_not_of_its_entries_is_found(long_log: World) -> None:
    node = LogNode.objects.filter(production=long_log.production.pk, number=1)
    node.update(root=bytes(32))
    assert any("node 1 of the tree" in words for words in broken_log(long_log.production))
