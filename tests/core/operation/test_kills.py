"""Ten kills of the service under eight writers; tests/bench/kills.py makes more of them."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.db import connection

from tests.bench.kills import trial
from tests.support.own_process import server_environment
from tests.support.prepared import prepare


@pytest.mark.django_db(transaction=True)
def test_nothing_is_lost_and_nothing_done_twice_when_the_service_is_killed(tmp_path: Path) -> None:
    if connection.vendor == "sqlite":
        prepare(tmp_path)
    done = trial(server_environment(tmp_path), kills=10, within_s=30)
    assert (done.lost, done.doubled) == ([], [])
    assert done.kills >= 3  # ten where the machine is not busy with other things
    assert done.repeated > 0  # it was killed in the middle of something
    assert done.answered > done.kills
