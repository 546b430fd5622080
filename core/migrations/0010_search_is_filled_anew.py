"""Empty the index: it holds other things now, clips under a kind of their own.

It is filled by `manage.py reindex`, or else by the first search of each production.
"""

from django.db import migrations


def empty(apps, schema_editor):
    apps.get_model("core", "SearchEntry").objects.using(schema_editor.connection.alias).all().delete()


class Migration(migrations.Migration):
    dependencies = [("core", "0009_similar_words_of_the_search")]

    operations = [migrations.RunPython(empty, migrations.RunPython.noop)]
