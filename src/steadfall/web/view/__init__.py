"""The views of the page: one file each, and a row in the table of `web/views.py`."""
