"""The WSGI application, for waitress or any other server."""

import os

from django.core.wsgi import get_wsgi_application

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # many small matrices: threads only wait for each other
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "wetleaf.site.settings")
application = get_wsgi_application()
