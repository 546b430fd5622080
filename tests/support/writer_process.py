"""A process of its own that writes one rig, for the tests of concurrency and of sudden death.

python -m tests.support.writer_process <rig> <control> <name> <edits>

Writes `edits` settings of one control, each on the newest base it can see, retrying on conflict,
and prints each number it has written, so that the parent knows what must be there.
"""

from __future__ import annotations

import os
import sys

import django


def main(rig_id: str, control_id: str, name: str, edits: int) -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    django.setup()
    from core.models import User
    from rigs.changes.edits import Set
    from rigs.models import Rig
    from rigs.revisions.record import Conflict, record

    author = User.objects.order_by("email").first()
    assert author is not None
    for count in range(edits):
        while True:
            rig = Rig.objects.get(pk=rig_id)
            edit = Set(control_id, "control", {"setting": f"{name} {count}"})
            try:
                revision = record(rig, [edit], author=author, base=rig.head_number)
            except Conflict:
                continue
            assert revision is not None
            print(revision.number, flush=True)  # noqa: T201 - the parent reads this
            break


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2], sys.argv[3], int(sys.argv[4]))
