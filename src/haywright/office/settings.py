"""Settings of the office, from the environment; the desk needs none of them.

HAYWRIGHT_DESK       one person on one machine: no accounts to set up, SQLite
HAYWRIGHT_DATA       folder of the database and the photos
HAYWRIGHT_SECRET     secret that signs sessions and links; or HAYWRIGHT_SECRET_FILE
HAYWRIGHT_HOSTS      names the office is reached by, with commas
DATABASE_URL         PostgreSQL for an office of many; SQLite in the data folder when left out
HAYWRIGHT_HTTPS      "no" only behind nothing at all, on one machine
HAYWRIGHT_PROXY      address of the proxy in front that speaks HTTPS; nobody else is believed
HAYWRIGHT_CERTIFICATE, HAYWRIGHT_CERTIFICATE_KEY
                     files of a certificate, where the office speaks HTTPS without a proxy
EMAIL_URL            where letters go; printed on the terminal when left out
"""

from __future__ import annotations

from pathlib import Path

from csp.constants import NONCE, NONE, SELF
from environs import Env

env = Env()
HERE = Path(__file__).resolve().parent

DESK = env.bool("HAYWRIGHT_DESK", False)
HTTPS = not DESK and env.bool("HAYWRIGHT_HTTPS", True)
DATA = Path(env.str("HAYWRIGHT_DATA", "") or Path.home() / ".local" / "share" / "haywright")
PROXY: list[str] = env.list("HAYWRIGHT_PROXY", [])
CERTIFICATE = env.str("HAYWRIGHT_CERTIFICATE", "")
CERTIFICATE_KEY = env.str("HAYWRIGHT_CERTIFICATE_KEY", "")
DEBUG = False


def _secret() -> str:
    named = env.str("HAYWRIGHT_SECRET_FILE", "")
    return Path(named).read_text("utf-8").strip() if named else env.str("HAYWRIGHT_SECRET", "")


SECRET_KEY = _secret()
ALLOWED_HOSTS = ["127.0.0.1", "localhost"] if DESK else env.list("HAYWRIGHT_HOSTS", [])
CSRF_TRUSTED_ORIGINS = [f"https://{host}" for host in ALLOWED_HOSTS] if HTTPS else []

INSTALLED_APPS = [
    "haywright.office.web",  # first, so that its pages stand before a library's own
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    "allauth",
    "allauth.account",
    "allauth.mfa",
    "csp",
    "haywright.office.ledger",
    "haywright.office.people",
    "haywright.office.stack",
    "haywright.office.bag",
    "haywright.office.bench",
    "haywright.office.sheet",
]
MIDDLEWARE = [
    "django.middleware.security.SecurityMiddleware",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.middleware.gzip.GZipMiddleware",  # a phone in a valley; tokens in forms are masked
    "haywright.office.api.problems.ProblemsMiddleware",
    "csp.middleware.CSPMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
    "allauth.account.middleware.AccountMiddleware",
    "haywright.office.people.middleware.WhoMiddleware",
    "haywright.office.web.sized.SizedMiddleware",
]
ROOT_URLCONF = "haywright.office.urls"
WSGI_APPLICATION = "haywright.office.wsgi.application"
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "haywright.office.web.context.page",
            ],
            "builtins": ["haywright.office.web.templatetags.haywright"],
        },
    }
]

_SQLITE = {
    "ENGINE": "django.db.backends.sqlite3",
    "NAME": DATA / "office.sqlite3",
    "OPTIONS": {
        "transaction_mode": "IMMEDIATE",
        "timeout": 20,
        "init_command": (
            "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA foreign_keys=ON;"
        ),
    },
}
DATABASES = {"default": env.dj_db_url("DATABASE_URL") if env.str("DATABASE_URL", "") else _SQLITE}
if "postgresql" in str(DATABASES["default"]["ENGINE"]):
    DATABASES["default"]["CONN_MAX_AGE"] = 60
CACHES = {
    "default": {
        "BACKEND": "django.core.cache.backends.db.DatabaseCache",
        "LOCATION": "haywright_cache",
        "OPTIONS": {"MAX_ENTRIES": 100_000},
    },
    # Pages that stand until the ledger goes on: in each process its own, gone with it.
    "pages": {
        "BACKEND": "django.core.cache.backends.locmem.LocMemCache",
        "LOCATION": "pages",
        "OPTIONS": {"MAX_ENTRIES": 1000},
    },
}
FORM_RENDERER = "haywright.office.web.drawn.Drawn"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
ATOMIC_REQUESTS = False

AUTH_USER_MODEL = "people.Person"
AUTHENTICATION_BACKENDS = [
    "django.contrib.auth.backends.ModelBackend",
    "allauth.account.auth_backends.AuthenticationBackend",
]
PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
AUTH_PASSWORD_VALIDATORS = [
    {
        "NAME": "django.contrib.auth.password_validation.MinimumLengthValidator",
        "OPTIONS": {"min_length": 12},
    },
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]
LOGIN_URL = "sign-in"
LOGIN_REDIRECT_URL = "today"
LOGOUT_REDIRECT_URL = "sign-in"
ACCOUNT_USER_MODEL_USERNAME_FIELD = None
ACCOUNT_LOGIN_METHODS = {"email"}
ACCOUNT_SIGNUP_FIELDS = ["email*", "password1*", "password2*"]
ACCOUNT_ADAPTER = "haywright.office.people.adapter.InvitedOnly"
ACCOUNT_EMAIL_VERIFICATION = "none"
ACCOUNT_CHANGE_EMAIL = True
ACCOUNT_EMAIL_SUBJECT_PREFIX = ""
ACCOUNT_LOGOUT_REDIRECT_URL = "sign-in"
ACCOUNT_SESSION_REMEMBER = True
ACCOUNT_RATE_LIMITS = {"login": "30/m/ip", "login_failed": "10/m/ip,5/5m/key"}
MFA_ADAPTER = "haywright.office.people.adapter.SecondFactor"
MFA_ALLOW_UNVERIFIED_EMAIL = True  # an address is the office's invitation's, not a stranger's
MFA_SUPPORTED_TYPES = ["totp", "recovery_codes"]

LANGUAGE_CODE = "en"
LANGUAGES = [("en", "English"), ("es", "español")]
TIME_ZONE = "UTC"
USE_TZ = True
STATIC_URL = "static/"
STATIC_ROOT = DATA / "static"
WHITENOISE_USE_FINDERS = True  # the package's own files, as they lie
MEDIA_ROOT = DATA / "photos"
DATA_UPLOAD_MAX_MEMORY_SIZE = 5_000_000
MOST_SENT = 55_000_000  # a file of the bench of the largest size, and the form around it
FILE_UPLOAD_MAX_MEMORY_SIZE = 2_000_000
if env.str("EMAIL_URL", ""):
    _mail = env.dj_email_url("EMAIL_URL")
    EMAIL_BACKEND, EMAIL_HOST = _mail["EMAIL_BACKEND"], _mail["EMAIL_HOST"]
    EMAIL_PORT, EMAIL_USE_TLS = _mail["EMAIL_PORT"], _mail["EMAIL_USE_TLS"]
    EMAIL_HOST_USER, EMAIL_HOST_PASSWORD = _mail["EMAIL_HOST_USER"], _mail["EMAIL_HOST_PASSWORD"]
else:
    EMAIL_BACKEND = "django.core.mail.backends.console.EmailBackend"

SESSION_COOKIE_NAME = "haywright"
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = HTTPS
SECURE_SSL_REDIRECT = HTTPS
SECURE_HSTS_SECONDS = 52 * 7 * 24 * 60 * 60 if HTTPS else 0
SECURE_HSTS_INCLUDE_SUBDOMAINS = SECURE_HSTS_PRELOAD = HTTPS
SECURE_REFERRER_POLICY = "same-origin"
SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https") if HTTPS and PROXY else None
X_FRAME_OPTIONS = "DENY"
CONTENT_SECURITY_POLICY = {
    "DIRECTIVES": {
        "default-src": [NONE],
        "script-src": [SELF],
        "style-src": [SELF, NONCE],
        "img-src": [SELF, "data:"],
        "font-src": [SELF],
        "connect-src": [SELF],
        "form-action": [SELF],
        "base-uri": [NONE],
        "frame-ancestors": [NONE],
    }
}
SILENCED_SYSTEM_CHECKS: list[str] = []
LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
}
