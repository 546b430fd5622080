from __future__ import annotations

import uuid

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

import core.clock


class Migration(migrations.Migration):
    dependencies = [
        ("notes", "0002_clips"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddField(
            model_name='question',
            name='owed_by',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL),
        ),
        migrations.CreateModel(
            name='PublishedHandover',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('number', models.PositiveIntegerField()),
                ('outline', models.TextField()),
                ('content', models.TextField()),
                ('digest', models.CharField(max_length=64)),
                ('published_at', models.DateTimeField()),
                ('handover', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='published', to='notes.handover')),
                ('previous', models.OneToOneField(editable=False, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='next', to='notes.publishedhandover')),
                ('production', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.PROTECT, related_name='published_handovers', to='core.production')),
                ('published_by', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-number'],
            },
        ),
        migrations.AddField(
            model_name='acknowledgement',
            name='published',
            field=models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='acknowledgements', to='notes.publishedhandover'),
        ),
        migrations.CreateModel(
            name='Reminder',
            fields=[
                ('id', models.UUIDField(default=uuid.uuid4, editable=False, primary_key=True, serialize=False)),
                ('sent_at', models.DateTimeField(default=core.clock.now)),
                ('sections', models.PositiveIntegerField()),
                ('questions', models.PositiveIntegerField()),
                ('handover', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='reminders', to='notes.handover')),
                ('sent_by', models.ForeignKey(null=True, on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
                ('user', models.ForeignKey(on_delete=django.db.models.deletion.PROTECT, related_name='+', to=settings.AUTH_USER_MODEL)),
            ],
            options={
                'ordering': ['-sent_at'],
            },
        ),
        migrations.AddConstraint(
            model_name='publishedhandover',
            constraint=models.UniqueConstraint(fields=('production', 'number'), name='handover_number_once'),
        ),
        migrations.AddIndex(
            model_name='reminder',
            index=models.Index(fields=['handover', '-sent_at'], name='reminder_newest'),
        ),
    ]
