"""What a section of a working copy said to whoever marked it as read. Readings before this have
none and count as read of something else."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("notes", "0012_where_sounds_begin")]

    operations = [
        migrations.AddField(
            model_name="acknowledgement",
            name="digest",
            field=models.CharField(blank=True, default="", editable=False, max_length=64),
        ),
    ]
