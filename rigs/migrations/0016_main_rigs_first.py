"""Of a player's rigs the main rig comes first, whatever it is called. No column changes."""

from django.db import migrations
from django.db.models import F, Value
from django.db.models.functions import StrIndex


class Migration(migrations.Migration):
    dependencies = [("rigs", "0015_when_changes_were_written")]

    operations = [
        migrations.AlterModelOptions(
            name="rig",
            options={
                "ordering": [
                    "player__position",
                    StrIndex(Value("main fly spare rehearsal"), F("variant")),
                    "name",
                ]
            },
        ),
    ]
