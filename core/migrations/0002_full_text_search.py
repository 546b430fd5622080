"""Full text: PostgreSQL gets a generated tsvector with a GIN index, SQLite an FTS5 table.

The triggers that keep the FTS5 table are made after every migrate (core.search.sqlite), because
SQLite drops them when a later migration rebuilds the table.
"""

from django.db import migrations, models

_POSTGRES = (
    """
    ALTER TABLE core_searchentry ADD COLUMN document tsvector GENERATED ALWAYS AS (
      setweight(to_tsvector('simple', title_words), 'A') ||
      setweight(to_tsvector('simple', body_words), 'B')
    ) STORED
    """,
    "CREATE INDEX search_full_text ON core_searchentry USING gin (document)",
)
_SQLITE = (
    """
    CREATE VIRTUAL TABLE core_searchentry_fts USING fts5(
      title_words, body_words, content='core_searchentry', content_rowid='id',
      tokenize='unicode61 remove_diacritics 2', prefix='2 3'
    )
    """,
    "INSERT INTO core_searchentry_fts (core_searchentry_fts) VALUES ('rebuild')",
)
_POSTGRES_BACK = ("ALTER TABLE core_searchentry DROP COLUMN document",)
_SQLITE_BACK = (
    "DROP TRIGGER IF EXISTS core_searchentry_added",
    "DROP TRIGGER IF EXISTS core_searchentry_removed",
    "DROP TRIGGER IF EXISTS core_searchentry_changed",
    "DROP TABLE core_searchentry_fts",
)


def forwards(apps, schema_editor):
    for statement in _POSTGRES if schema_editor.connection.vendor == "postgresql" else _SQLITE:
        schema_editor.execute(statement)


def backwards(apps, schema_editor):
    vendor = schema_editor.connection.vendor
    for statement in _POSTGRES_BACK if vendor == "postgresql" else _SQLITE_BACK:
        schema_editor.execute(statement)


class Migration(migrations.Migration):
    dependencies = [("core", "0001_people_productions_tours")]

    operations = [
        migrations.AddField(
            "searchentry", "title_words", models.TextField(default="", editable=False)
        ),
        migrations.AddField(
            "searchentry", "body_words", models.TextField(default="", editable=False)
        ),
        migrations.RunPython(forwards, backwards),
    ]
