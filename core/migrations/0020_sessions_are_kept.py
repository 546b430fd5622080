"""Sessions of before go on: a device that is logged out deletes what it keeps."""

from django.contrib.auth import SESSION_KEY
from django.db import migrations

from core.sign_in.sessions import SessionStore, digest_of


def take_over(apps, schema_editor):
    Session = apps.get_model("sessions", "Session")
    LogIn = apps.get_model("core", "LogIn")
    people = {str(pk) for pk in apps.get_model("core", "User").objects.values_list("pk", flat=True)}
    made = []
    for old in Session.objects.iterator(chunk_size=500):
        # What was signed with another key reads as nothing.
        person = SessionStore().decode(old.session_data).get(SESSION_KEY)
        if person in people:
            made.append(
                LogIn(
                    session_key=digest_of(old.session_key),
                    session_data=old.session_data,
                    expire_date=old.expire_date,
                    user_id=person,
                )
            )
    LogIn.objects.bulk_create(made, batch_size=500, ignore_conflicts=True)
    # Their keys stand there as browsers have them.
    Session.objects.all().delete()


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0019_log_ins_passkeys_second_factor"),
        ("sessions", "0001_initial"),
    ]

    # Backwards everybody logs in anew: a digest leads to no key.
    operations = [migrations.RunPython(take_over, migrations.RunPython.noop)]
