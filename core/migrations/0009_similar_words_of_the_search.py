"""Words that similar words find, and which productions have been put into the index whole."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('core', '0008_uploads_in_pieces'),
    ]

    operations = [
        migrations.CreateModel(
            name='IndexedProduction',
            fields=[
                ('production', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, primary_key=True, related_name='+', serialize=False, to='core.production')),
                ('contents', models.PositiveIntegerField(help_text='The number of what there was to put in.')),
            ],
        ),
        migrations.AlterField(
            model_name='searchentry',
            name='kind',
            field=models.CharField(choices=[('note', 'listening note'), ('change', 'change'), ('gear', 'gear'), ('words', 'people’s words'), ('song', 'song'), ('show', 'show or leg'), ('person', 'person'), ('clip', 'clip'), ('photo', 'photo')], max_length=8),
        ),
        migrations.CreateModel(
            name='SearchWord',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('piece', models.CharField(max_length=4)),
                ('word', models.CharField(max_length=64)),
                ('production', models.ForeignKey(db_index=False, on_delete=django.db.models.deletion.CASCADE, related_name='+', to='core.production')),
            ],
            options={
                'indexes': [models.Index(fields=['production', 'piece', 'word'], name='search_word_by_piece'), models.Index(fields=['production', 'word'], name='search_word')],
            },
        ),
    ]
