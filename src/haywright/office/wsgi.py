"""What a web server runs."""

from __future__ import annotations

import os

from django.conf import settings
from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "haywright.office.settings")
application = get_wsgi_application()
if settings.PROXY:
    # The address a try is counted under is then the visitor's, not the proxy's.
    from granian.utils.proxies import wrap_wsgi_with_proxy_headers

    application = wrap_wsgi_with_proxy_headers(application, trusted_hosts=settings.PROXY)
