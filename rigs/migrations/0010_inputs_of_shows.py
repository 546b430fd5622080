from __future__ import annotations

import uuid

import django.core.validators
import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import core.clock


class Migration(migrations.Migration):
    dependencies = [
        ("core", "0006_live_events"),
        ("rigs", "0009_spares"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]
    operations = [
        migrations.CreateModel(
            name='ShowHire',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('section', models.CharField(choices=[('devices', 'microphones and DIs'), ('stands', 'stands'), ('cables', 'cables'), ('units', 'instruments, amplifiers and other gear')], max_length=8, verbose_name='kind')),
                ('what', models.CharField(help_text='As the pack list calls it.', max_length=200)),
                ('count', models.PositiveIntegerField(default=1, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(999)])),
                ('from_whom', models.CharField(blank=True, max_length=120, verbose_name='hired from')),
                ('words', models.CharField(blank=True, max_length=500, verbose_name='to know about it')),
                ('by_name', models.CharField(editable=False, max_length=120)),
                ('at', models.DateTimeField(default=core.clock.now, editable=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('show', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='hires', to='core.show')),
            ],
            options={
                'ordering': ['section', 'what'],
                'constraints': [models.UniqueConstraint(fields=('show', 'section', 'what'), name='one_hire_of_a_kind', violation_error_message='That is among the hires of this show already.')],
            },
        ),
        migrations.CreateModel(
            name='ShowInput',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('absent', models.BooleanField(default=False, verbose_name='not used at this show')),
                ('hired_locally', models.BooleanField(default=False, verbose_name='its microphone or DI is hired locally')),
                ('number', models.PositiveIntegerField(blank=True, null=True, validators=[django.core.validators.MinValueValidator(1), django.core.validators.MaxValueValidator(9999)], verbose_name='channel that day')),
                ('stand', models.CharField(blank=True, max_length=80)),
                ('stage_position', models.CharField(blank=True, max_length=80, verbose_name='cable or stage box')),
                ('phantom', models.BooleanField(blank=True, null=True, verbose_name='phantom power')),
                ('pad_db', models.DecimalField(blank=True, decimal_places=1, help_text='−20 for a 20 dB pad, 0 for none.', max_digits=4, null=True, validators=[django.core.validators.MinValueValidator(-60), django.core.validators.MaxValueValidator(0)], verbose_name='pad, dB')),
                ('gain_db', models.DecimalField(blank=True, decimal_places=1, max_digits=4, null=True, validators=[django.core.validators.MinValueValidator(-30), django.core.validators.MaxValueValidator(90)], verbose_name='preamp gain, dB')),
                ('high_pass_hz', models.DecimalField(blank=True, decimal_places=1, help_text='0 for off.', max_digits=6, null=True, validators=[django.core.validators.MinValueValidator(0), django.core.validators.MaxValueValidator(20000)], verbose_name='high-pass, Hz')),
                ('why', models.CharField(blank=True, choices=[('failure', 'something failed'), ('hire', 'hired in place of ours'), ('room', 'the room'), ('wish', 'the player’s wish')], max_length=16)),
                ('words', models.CharField(blank=True, max_length=500, verbose_name='in a few words')),
                ('by_name', models.CharField(editable=False, max_length=120)),
                ('at', models.DateTimeField(default=core.clock.now, editable=False)),
                ('version', models.PositiveIntegerField(default=1, editable=False)),
                ('by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('device', models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to='rigs.device', verbose_name='microphone or DI instead')),
                ('input', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='at_shows', to='rigs.input')),
                ('show', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='input_differences', to='core.show')),
            ],
            options={
                'ordering': ['at'],
                'constraints': [models.UniqueConstraint(fields=('show', 'input'), name='one_difference_of_input')],
            },
        ),
    ]
