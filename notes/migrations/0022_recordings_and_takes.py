
import core.clock
import django.core.validators
import django.db.models.deletion
import uuid
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('core', '0017_blind_links'),
        ('notes', '0021_mp3_beginnings_looked_up_again'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name='Recording',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('name', models.CharField(max_length=120)),
                ('began_at', models.DateTimeField(blank=True, help_text='Notes with a time then tell which song was played.', null=True, verbose_name='began')),
                ('seconds', models.DecimalField(decimal_places=4, editable=False, max_digits=10)),
                ('method', models.CharField(blank=True, default='', editable=False, max_length=40)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('brought_at', models.DateTimeField(default=core.clock.now, editable=False)),
                ('brought_by', models.ForeignKey(editable=False, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('production', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='recordings', to='core.production')),
                ('session', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='recordings', to='notes.listeningsession')),
            ],
            options={
                'ordering': ['-brought_at'],
            },
        ),
        migrations.CreateModel(
            name='RecordedFile',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('position', models.PositiveIntegerField(default=1, editable=False)),
                ('levels', models.BinaryField()),
                ('sound', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='recorded_in', to='notes.storedsound')),
                ('recording', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='files', to='notes.recording')),
            ],
            options={
                'verbose_name': 'file of a recording',
                'verbose_name_plural': 'files of recordings',
                'ordering': ['position', 'pk'],
            },
        ),
        migrations.CreateModel(
            name='Take',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('starts_s', models.DecimalField(decimal_places=4, max_digits=10, validators=[django.core.validators.MinValueValidator(0)], verbose_name='from')),
                ('ends_s', models.DecimalField(decimal_places=4, max_digits=10, verbose_name='to')),
                ('song_from', models.CharField(blank=True, choices=[('note', 'from what was written then'), ('order', 'by the order of the set'), ('person', 'said')], default='', editable=False, max_length=6)),
                ('name', models.CharField(blank=True, default='', max_length=120)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('by', models.ForeignKey(default=None, editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('recording', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='takes', to='notes.recording')),
                ('song', models.ForeignKey(blank=True, default=None, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='takes', to='core.song')),
            ],
            options={
                'ordering': ['starts_s'],
            },
        ),
        migrations.AddIndex(
            model_name='recording',
            index=models.Index(fields=['production', '-brought_at'], name='recording_newest'),
        ),
        migrations.AddConstraint(
            model_name='recordedfile',
            constraint=models.UniqueConstraint(fields=('recording', 'sound'), name='file_in_recording_once'),
        ),
        migrations.AddIndex(
            model_name='take',
            index=models.Index(fields=['recording', 'starts_s'], name='take_in_order'),
        ),
        migrations.AddConstraint(
            model_name='take',
            constraint=models.CheckConstraint(condition=models.Q(('ends_s__gt', models.F('starts_s')), ('starts_s__gte', 0)), name='take_ends_after_it_begins'),
        ),
    ]
