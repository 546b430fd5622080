"""What whoever runs the service can do about log-ins, and what is forgotten by itself."""

from __future__ import annotations

from datetime import timedelta

import pytest
from axes.models import AccessLog
from django.core.management import call_command
from django.urls import reverse

from core import clock
from core.models import KnownDevice, LogIn, SecondFactor, Tries, User
from core.sign_in import codes, tries
from tests.support.pages import as_user
from tests.support.world import make_user


@pytest.fixture
def ada(db: None) -> User:
    return make_user("Ada")


def act(action: str, person: User) -> int:
    chief = User.objects.create_superuser("chief@example.org", "Chief", "long-enough-1")
    given = {"action": action, "_selected_action": [str(person.pk)]}
    return as_user(chief).post(reverse("admin:core_user_changelist"), given).status_code


def test_somebody_is_logged_out_everywhere(ada: User) -> None:
    phone, desk = as_user(ada), as_user(ada)
    assert act("log_out_everywhere", ada) == 302
    assert [each.get("/account/").status_code for each in (phone, desk)] == [302, 302]


def test_a_lost_second_factor_is_turned_off(ada: User) -> None:
    SecondFactor.objects.create(user=ada, sealed=codes.seal("A" * 32))
    codes.new_recovery_codes(ada)
    assert act("second_factor_off", ada) == 302
    assert not codes.is_on(ada)
    assert not ada.recovery_codes.exists()


def test_what_is_old_is_forgotten_and_the_rest_stays(ada: User) -> None:
    now = clock.now()
    client = as_user(ada)
    as_user(ada)
    newest = LogIn.objects.latest("began_at")
    newest.used_at = now - timedelta(days=31)
    newest.save()
    for days in (399, 401):
        KnownDevice.objects.create(user=ada, digest=str(days), used_at=now - timedelta(days=days))
    for days in (0, 2):
        tries.used_up(str(days), most=1, within=timedelta(hours=1))
        Tries.objects.filter(key=str(days)).update(since=now - timedelta(days=days))
    for days in (29, 31):
        record = AccessLog.objects.create(username=str(days))
        AccessLog.objects.filter(pk=record.pk).update(attempt_time=now - timedelta(days=days))
    call_command("forget_log_ins", verbosity=0)
    assert client.get("/account/").status_code == 200
    assert LogIn.objects.count() == 1
    assert KnownDevice.objects.get().digest == "399"
    assert Tries.objects.get().key == "0"
    assert AccessLog.objects.get().username == "29"
