"""Settings, read from environment variables. docs/deployment.md lists every one of them."""

from __future__ import annotations

import secrets
from pathlib import Path
from typing import Any

import dj_database_url
from csp.constants import NONE, SELF

from core.env import Env

env = Env()
BASE_DIR = Path(__file__).resolve().parent.parent
# "local" is one person trying things out on one machine; everything else is production.
LOCAL = env.choice("TONELEDGER_MODE", ("local", "production"), "production") == "local"
DATA_DIR = Path(env.text("TONELEDGER_DATA", str(BASE_DIR / ".local")))


def _local_secret() -> str:
    """A key of this machine's own, so that local sessions survive a restart."""
    path = DATA_DIR / "secret_key"
    if not path.exists():
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(secrets.token_urlsafe(50))
        path.chmod(0o600)
    return path.read_text()


SECRET_KEY = (
    env.text("TONELEDGER_SECRET_KEY") or _local_secret()
    if LOCAL
    else env.required("TONELEDGER_SECRET_KEY", "a long random text that signs sessions.")
)
DEBUG = LOCAL and env.flag("TONELEDGER_DEBUG")
ALLOWED_HOSTS = env.items("TONELEDGER_HOSTS", "localhost,127.0.0.1,[::1]" if LOCAL else "")
CSRF_TRUSTED_ORIGINS = env.items("TONELEDGER_ORIGINS")

INSTALLED_APPS = [
    "core",
    "rigs",
    "notes",
    "django.contrib.admin",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    # Before staticfiles, so that WhiteNoise and not the runserver of Django serves static files.
    "whitenoise.runserver_nostatic",
    "django.contrib.staticfiles",
    "rest_framework",
    "rest_framework.authtoken",
    "django_filters",
    "drf_spectacular",
    "axes",
    "csp",
]

MIDDLEWARE = [
    # Before requests are counted and logged: programs ask every few seconds.
    "core.operation.probes.ProbesMiddleware",
    "core.operation.requests.RequestsMiddleware",
    "django.middleware.security.SecurityMiddleware",
    # Before static files, which are opened by themselves, too.
    "csp.middleware.CSPMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "core.permissions.PermissionsMiddleware",
    "django.middleware.gzip.GZipMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "core.sign_in.person.PersonMiddleware",
    "core.languages.middleware.LanguageMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    # The process_view of ours run in this order: access is declared, the files of a form are
    # joined, its text is made printable, and only then is it compared with what was carried out
    # before.
    "core.access.middleware.DeclaredAccessMiddleware",
    "core.sign_in.middleware.CameInMiddleware",
    "core.offline.who.WhoMiddleware",
    "core.offline.drafts.SavedDraftsMiddleware",
    "core.uploads.middleware.JoinedFilesMiddleware",
    "core.text_middleware.PrintableTextMiddleware",
    "core.offline.once.OnceMiddleware",
    "axes.middleware.AxesMiddleware",
    "core.not_now.NotNowMiddleware",
]

ROOT_URLCONF = "core.urls"
WSGI_APPLICATION = "core.wsgi.application"
ASGI_APPLICATION = "core.asgi.application"

TEMPLATES: list[dict[str, Any]] = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "core.context.theme",
                "django.template.context_processors.i18n",
                "core.context.page_made",
                "core.context.request_key",
                "core.access.context.production",
                "core.context.thumb_button",
            ],
            # {% url %} in a fraction of the time, and rows that are kept.
            "builtins": [
                "core.templatetags.addresses",
                "core.templatetags.kept",
                "core.languages.dates",
            ],
        },
    },
]

# Render rows that are kept all the same, and compare (core.templatetags.kept).
KEPT_CHECKED = False

DATABASES = {
    "default": dj_database_url.config(
        default=f"sqlite:///{DATA_DIR / 'toneledger.sqlite3'}",
        conn_max_age=60,
        conn_health_checks=True,
    )
}
if DATABASES["default"]["ENGINE"].endswith("sqlite3"):
    DATA_DIR.mkdir(parents=True, exist_ok=True)
    # IMMEDIATE takes the write lock at BEGIN: a read-then-write never dies of a late lock.
    DATABASES["default"]["OPTIONS"] = {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": (
            "PRAGMA journal_mode=WAL;PRAGMA synchronous=NORMAL;PRAGMA foreign_keys=ON;"
        ),
    }
# Where connections are pooled by transaction, a way to the database itself: to listen, and to dump.
_direct = env.text("TONELEDGER_DATABASE_DIRECT")
DATABASE_DIRECT = dj_database_url.parse(_direct) if _direct else None
if DATABASE_DIRECT:
    # A cursor of the server belongs to a connection, which the pool gives to somebody else.
    DATABASES["default"]["DISABLE_SERVER_SIDE_CURSORS"] = True
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"

AUTH_USER_MODEL = "core.User"
AUTHENTICATION_BACKENDS = [
    "axes.backends.AxesStandaloneBackend",
    "core.access.accounts.Accounts",
]
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.Argon2PasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "core.sign_in.passwords.NotGuessedFirst"},
]
LOGIN_URL = "core:login"
LOGIN_REDIRECT_URL = "core:home"
LOGOUT_REDIRECT_URL = "core:login"
AXES_FAILURE_LIMIT = 8
AXES_COOLOFF_TIME = 0.25  # hours
# Name and address together: by name alone anybody could lock somebody else out, and by address
# alone one crew behind one router would be locked out together.
AXES_LOCKOUT_PARAMETERS = [["username", "ip_address"]]
AXES_USERNAME_FORM_FIELD = "username"
AXES_RESET_ON_SUCCESS = True
AXES_LOCKOUT_TEMPLATE = "core/locked_out.html"
# How many proxies stand in front, to find the caller in X-Forwarded-For. Counted wrong, a caller
# could claim any address (from memory of the library).
AXES_IPWARE_PROXY_COUNT = env.number("TONELEDGER_PROXIES", 0)

LANGUAGE_CODE = "en-gb"
# Each in its own words. Catalogues are in the folder `locale` of each app (docs/languages.md).
LANGUAGES = [
    ("en-gb", "English"),
    ("de", "Deutsch"),
    ("es", "Español"),
    ("fr", "Français"),
    ("ja", "日本語"),
]
LANGUAGE_COOKIE_NAME = "language"
TIME_ZONE = env.text("TONELEDGER_TIME_ZONE", "UTC")
USE_I18N = True
USE_TZ = True

STATIC_URL = "static/"
STATIC_ROOT = DATA_DIR / "static"
MEDIA_ROOT = Path(env.text("TONELEDGER_MEDIA", str(DATA_DIR / "media")))
STORAGES: dict[str, dict[str, Any]] = {
    "default": {"BACKEND": "django.core.files.storage.FileSystemStorage"},
    "staticfiles": {"BACKEND": "core.offline.files.StaticFiles"},
}
if env.text("TONELEDGER_S3_BUCKET"):
    STORAGES["default"] = {
        "BACKEND": "storages.backends.s3.S3Storage",
        "OPTIONS": {
            "bucket_name": env.text("TONELEDGER_S3_BUCKET"),
            "endpoint_url": env.text("TONELEDGER_S3_ENDPOINT") or None,
            "region_name": env.text("TONELEDGER_S3_REGION") or None,
            "default_acl": None,
            "querystring_auth": True,
            # Two files of one name get two names; what is stored is never replaced.
            "file_overwrite": False,
        },
    }
PHOTO_MAX_BYTES = env.number("TONELEDGER_PHOTO_MAX_MB", 20) * 1024 * 1024
PHOTO_MAX_PIXELS = env.number("TONELEDGER_PHOTO_MAX_MEGAPIXELS", 60) * 1_000_000
CLIP_MAX_BYTES = env.number("TONELEDGER_CLIP_MAX_MB", 500) * 1024 * 1024
SOUND_MAX_SECONDS = env.number("TONELEDGER_SOUND_MAX_MINUTES", 60) * 60
RECORDING_MAX_SECONDS = env.number("TONELEDGER_RECORDING_MAX_MINUTES", 240) * 60
RECORDING_WORK_SECONDS = env.number("TONELEDGER_RECORDING_WORK_SECONDS", 600)
CLIP_MAX_SECONDS = env.number("TONELEDGER_CLIP_MAX_SECONDS", 600)
CLIP_WORK_SECONDS = env.number("TONELEDGER_CLIP_WORK_SECONDS", 120)
KNOB_CHECK_SECONDS = env.number("TONELEDGER_KNOB_CHECK_SECONDS", 60)
# The largest upload of any form, with room for a dozen photos.
UPLOAD_MAX_BYTES = max(CLIP_MAX_BYTES, 12 * PHOTO_MAX_BYTES) + 1024 * 1024
FILE_UPLOAD_HANDLERS = [
    "core.uploads.limited.LimitedUploads",
    "django.core.files.uploadhandler.MemoryFileUploadHandler",
    "django.core.files.uploadhandler.TemporaryFileUploadHandler",
]
# For the fields of a form and the JSON of the API; files do not count towards it.
DATA_UPLOAD_MAX_MEMORY_SIZE = 2 * 1024 * 1024

EMAIL_HOST = env.text("TONELEDGER_MAIL_HOST")
EMAIL_PORT = env.number("TONELEDGER_MAIL_PORT", 587)
EMAIL_HOST_USER = env.text("TONELEDGER_MAIL_USER")
EMAIL_HOST_PASSWORD = env.text("TONELEDGER_MAIL_PASSWORD")
EMAIL_TIMEOUT = 10  # a page may wait for it
EMAIL_USE_TLS = env.flag("TONELEDGER_MAIL_TLS", True)
EMAIL_BACKEND = f"core.operation.mails.{'Smtp' if EMAIL_HOST else 'Console'}"
DEFAULT_FROM_EMAIL = env.text("TONELEDGER_MAIL_FROM", "toneledger@localhost")

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "core.access.accounts.ApiKeys",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["rest_framework.permissions.IsAuthenticated"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["core.api.parsing.ExactJSONParser"],
    "EXCEPTION_HANDLER": "core.api.errors.handle",
    "DEFAULT_SCHEMA_CLASS": "core.api.drawn.Drawn",
    "UNAUTHENTICATED_USER": "django.contrib.auth.models.AnonymousUser",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Toneledger",
    "DESCRIPTION": "Rigs, how they are picked up, and why. A write names the base it was read at.",
    "VERSION": "1",
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "SERVE_INCLUDE_SCHEMA": False,
    "ENUM_NAME_OVERRIDES": {
        "PartKind": "rigs.api.edits.PART_KINDS",
        "ReasonKind": "rigs.api.edits.REASON_KINDS",
        "SetLineKind": "core.models.sets.SetEntry.Kind",
        "MixKind": "notes.models.MonitorMix.Kind",
        "NoteOutcome": "notes.models.Note.Outcome",
        "CauseOutcome": "notes.models.CauseOutcome.Outcome",
    },
}

CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [SELF],
        "img-src": [SELF, "data:", "blob:"],
        "media-src": [SELF, "blob:"],
        "object-src": [NONE],
        "base-uri": [NONE],
        "form-action": [SELF],
        "frame-ancestors": [NONE],
    }
}
CSRF_FAILURE_VIEW = "core.views.errors.csrf_failure"
X_FRAME_OPTIONS = "DENY"
# Addresses can hold one-time tokens, which other sites must not learn from a link.
SECURE_REFERRER_POLICY = "same-origin"
SESSION_ENGINE = "core.sign_in.sessions"
SESSION_COOKIE_HTTPONLY = True
# Since the log-in, whatever happens; core.sign_in.sessions has the time without a request.
SESSION_COOKIE_AGE = 60 * 60 * 24 * 60
if not LOCAL:
    SECURE_SSL_REDIRECT = env.flag("TONELEDGER_HTTPS_REDIRECT", True)
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SECURE_HSTS_SECONDS = env.number("TONELEDGER_HSTS_SECONDS", 60 * 60 * 24 * 365)
    SECURE_HSTS_INCLUDE_SUBDOMAINS = True
    SECURE_HSTS_PRELOAD = True
    SESSION_COOKIE_SECURE = True
    CSRF_COOKIE_SECURE = True

# Figures for programs, at /metrics, for those who send this secret; without it there are none.
# Outside the database, so that whoever holds that alone cannot sign (core/proof/key.py).
_key = Path(env.text("TONELEDGER_SIGNING_KEY", str(DATA_DIR / "signing_key")))
SIGNING_KEY = _key if env.text("TONELEDGER_SIGNING_KEY") or _key.exists() else None
METRICS_TOKEN = env.text("TONELEDGER_METRICS_TOKEN")
METRICS_DIR = Path(env.text("TONELEDGER_METRICS_DIR", str(DATA_DIR / "figures")))

LOG_FORMAT = env.choice("TONELEDGER_LOG_FORMAT", ("text", "json"), "text")
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "text": {
            "()": "core.operation.log.TextLines",
            "fmt": "%(asctime)s %(levelname)s %(name)s %(message)s",
        },
        "json": {"()": "core.operation.log.JsonLines"},
    },
    "handlers": {"console": {"class": "logging.StreamHandler", "formatter": LOG_FORMAT}},
    "root": {"handlers": ["console"], "level": env.text("TONELEDGER_LOG_LEVEL", "WARNING")},
    "loggers": {
        "toneledger.requests": {"level": "INFO" if LOG_FORMAT == "json" else "WARNING"},
        # The server sets up handlers of its own before it loads this: one log, in one format.
        "uvicorn": {"handlers": [], "propagate": True},
    },
}
