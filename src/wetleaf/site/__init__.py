"""The served pages: settings, addresses, the base page, styles. Bound to this machine until sign-in exists.

Open `urls.py` first.
"""
