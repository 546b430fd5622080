"""An MP3 whose tag states 0 was taken for one that says where its sound begins. Which those are
only their originals can say: all are looked at again when they are first asked for."""

from django.db import migrations


def forget(apps, schema_editor):
    sounds = apps.get_model("notes", "StoredSound").objects
    sounds.filter(format__startswith="mp3/", beginning="stated").update(beginning="")


class Migration(migrations.Migration):
    dependencies = [("notes", "0020_blind_links")]

    operations = [migrations.RunPython(forget, migrations.RunPython.noop)]
