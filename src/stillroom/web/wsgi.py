"""The WSGI application, for waitress and other servers."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "stillroom.web.settings")
application = get_wsgi_application()
