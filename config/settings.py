"""All settings, for every process; tests override through the environment."""

from pathlib import Path
from urllib.parse import quote

import django_stubs_ext
from django.core.exceptions import ImproperlyConfigured

from config import environment, schedule

django_stubs_ext.monkeypatch()  # lets ModelAdmin[Animal] be written at run time

BASE_DIR = Path(__file__).resolve().parent.parent
VERSION = "0.1.0"

# The environment, each variable read once.
DEBUG = environment.flag("SPURBOOK_DEBUG", default=False)
DATA_DIR = Path(environment.text("SPURBOOK_DATA", str(BASE_DIR / "var")))
DATABASE_URL = environment.secret(
    "DATABASE_URL", f"sqlite:///{quote(str(DATA_DIR / 'spurbook.sqlite3'))}"
)
REDIS_URL = environment.text("REDIS_URL", "")
ALLOWED_HOSTS = environment.words("SPURBOOK_HOSTS", "127.0.0.1,localhost,[::1]")
HTTPS = environment.flag("SPURBOOK_HTTPS", default=False)
# Where people reach this house, printed on packets; empty: it is not printed.
ADDRESS = environment.address("SPURBOOK_ADDRESS")
# How often a token, or a person at a browser, may ask the API; of wrong tokens, how
# many an address may send with one prefix, and ten times as many in all; and how many
# packets it may ask for that are not on record.
SIGN_IN_RATE = environment.rate("SPURBOOK_SIGN_IN_RATE", "10/minute")
API_RATES = {
    "read": environment.rate("SPURBOOK_READ_RATE", "600/minute"),
    "write": environment.rate("SPURBOOK_WRITE_RATE", "300/minute"),
    "ingest": environment.rate("SPURBOOK_INGEST_RATE", "600/minute"),
    "wrong-token": SIGN_IN_RATE,
    "wrong-packet": SIGN_IN_RATE,
    "wrong-tokens": (10 * SIGN_IN_RATE[0], SIGN_IN_RATE[1]),
}
# How many proxies of ours stand in front and write X-Forwarded-For.
PROXIES = environment.whole_number("SPURBOOK_PROXIES", 0)
# Networks of the house that messages to other programs may go to; empty: none.
WEBHOOK_NETWORKS = environment.networks("SPURBOOK_WEBHOOK_NETWORKS")
SECRET_KEY = environment.secret("SPURBOOK_SECRET_KEY", "")
DATA_DIR.mkdir(parents=True, exist_ok=True)
if not SECRET_KEY:
    if HTTPS:
        raise ImproperlyConfigured(
            "SPURBOOK_SECRET_KEY (or SPURBOOK_SECRET_KEY_FILE) is not set. "
            "Set 50 random characters, the same for every process."
        )
    SECRET_KEY = environment.local_secret(DATA_DIR / "secret_key")

# Applications, from the lowest room to the doors.
INSTALLED_APPS = [
    "core",
    "husbandry",
    "clutches",
    "placements",
    "api",
    "staff",
    "demo",
    "config",
    "staff.backoffice.BackOfficeConfig",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "config.headers.content_security_policy",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "staff.clock.back_office_clock",
]
ROOT_URLCONF = "config.urls"
WSGI_APPLICATION = "config.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
            ],
        },
    }
]

# Data.
DATABASES = {"default": environment.database(DATABASE_URL)}
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.redis.RedisCache",
        "LOCATION": environment.next_redis_database(REDIS_URL),
    }
    if REDIS_URL
    else {
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        # Counts of rates are short-lived; those that still run are not thrown out.
        "OPTIONS": {"MAX_ENTRIES": 10_000},
    }
}

# The night: what rooms above husbandry say of it, in this order (ADR 0012).
NIGHT_PARTS = (
    "clutches.actions.night.judge_clutches",
    "placements.actions.night.judge_placements",
)

# People.
AUTH_USER_MODEL = "core.User"
LOGIN_URL = "staff:sign_in"
LOGIN_REDIRECT_URL = "staff:morning"
LOGOUT_REDIRECT_URL = "staff:sign_in"
PASSWORD_HASHERS = [
    "django.contrib.auth.hashers.ScryptPasswordHasher",
    "django.contrib.auth.hashers.PBKDF2PasswordHasher",
]
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": f"django.contrib.auth.password_validation.{name}"}
    for name in (
        "UserAttributeSimilarityValidator",
        "MinimumLengthValidator",
        "CommonPasswordValidator",
        "NumericPasswordValidator",
    )
]

# Language and time: a site carries its own zone; the server works in UTC.
LANGUAGE_CODE = "en-gb"
USE_I18N = True
USE_TZ = True
TIME_ZONE = "UTC"

# Files.
STATIC_URL = "/static/"
STATIC_ROOT = BASE_DIR / "staticfiles"
STATIC_ROOT.mkdir(exist_ok=True)  # WhiteNoise warns where there is none
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = DEBUG
# Photographs that people hand in. No address serves the folder: a page hands each out
# behind its door.
MEDIA_ROOT = DATA_DIR / "media"

# The API.
REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": [
        "api.authentication.TokenAuthentication",
        "rest_framework.authentication.SessionAuthentication",
    ],
    "DEFAULT_PERMISSION_CLASSES": ["api.permissions.DeclaredPermission"],
    "DEFAULT_RENDERER_CLASSES": ["api.renderers.Json"],
    "DEFAULT_PARSER_CLASSES": ["api.parsers.Body"],
    "DEFAULT_FILTER_BACKENDS": ["api.filters.Filters"],
    "DEFAULT_PAGINATION_CLASS": "api.pagination.Cursor",
    "DEFAULT_METADATA_CLASS": None,
    "DEFAULT_SCHEMA_CLASS": "api.schema.RoomSchema",
    "EXCEPTION_HANDLER": "api.errors.problem",
    "DEFAULT_THROTTLE_CLASSES": ["api.throttles.KeyThrottle"],
    "TEST_REQUEST_DEFAULT_FORMAT": "json",
    "URL_FORMAT_OVERRIDE": None,  # an address says what it is, not ?format=
    "UNAUTHENTICATED_USER": "django.contrib.auth.models.AnonymousUser",
}
SPECTACULAR_SETTINGS = {
    "TITLE": "Spurbook",
    "DESCRIPTION": "Operations backend for people who breed and rescue reptiles.",
    "VERSION": VERSION,
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "COMPONENT_SPLIT_REQUEST": True,
    "ENFORCE_NON_BLANK_FIELDS": True,
    "POSTPROCESSING_HOOKS": [
        "api.schema_words.add_words",
        "api.examples.add_examples",
    ],
}

# Workers: a clock and a pool of hands. Without Redis, `manage.py` does it all.
CELERY_BROKER_URL = REDIS_URL or "memory://"
CELERY_TASK_ALWAYS_EAGER = not REDIS_URL
CELERY_TASK_EAGER_PROPAGATES = False
CELERY_TASK_IGNORE_RESULT = True
CELERY_TASK_ACKS_LATE = True
CELERY_WORKER_PREFETCH_MULTIPLIER = 1
CELERY_BROKER_CONNECTION_RETRY_ON_STARTUP = True
CELERY_TIMEZONE = "UTC"
CELERY_BEAT_SCHEDULE = schedule.beat_table()

# Safety of the browser's side.
SECURE_CONTENT_TYPE_NOSNIFF = True
SECURE_REFERRER_POLICY = "same-origin"
X_FRAME_OPTIONS = "DENY"
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SECURE_SSL_REDIRECT = HTTPS
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS else None
SECURE_HSTS_SECONDS = 31_536_000 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = HTTPS
CSRF_FAILURE_VIEW = "config.failures.csrf_failure"
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS] if HTTPS else []
DATA_UPLOAD_MAX_MEMORY_SIZE = 20 * 1024 * 1024

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {
        "line": {"format": "{asctime} {levelname} {name} {message}", "style": "{"}
    },
    "filters": {"hide_addresses": {"()": "core.logs.HideAddresses"}},
    "handlers": {
        "console": {
            "class": "logging.StreamHandler",
            "formatter": "line",
            "filters": ["hide_addresses"],
        }
    },
    "root": {"handlers": ["console"], "level": "INFO"},
    # They tell every step of every drawing.
    "loggers": {
        "weasyprint": {"level": "WARNING"},
        "fontTools": {"level": "WARNING"},
    },
}
