"""What a page of ours may load and run: nothing from outside, and no script that we did not write.

Rule of this file: the framework compiles its templates in the browser, hence 'unsafe-eval', and sets styles
on elements, hence 'unsafe-inline' for styles. Scripts in the text of a page run by the nonce of that answer
alone.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

SCRIPT = re.compile(r"<script(?=[\s>])", re.IGNORECASE)

RULES: Mapping[str, str] = {
    "default-src": "'none'",
    "script-src": "'self' 'unsafe-eval' 'nonce-{nonce}'",
    "style-src": "'self' 'unsafe-inline'",
    "img-src": "'self' data:",
    "font-src": "'self'",
    "connect-src": "'self' {sockets}",
    "frame-src": "'self'",
    "frame-ancestors": "'self'",
    "base-uri": "'none'",
    "form-action": "'none'",
    "object-src": "'none'",
}

FIXED: Mapping[str, str] = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
}


def policy(nonce: str, host: str) -> str:
    """The rules as the header has them, for a page that was asked for at `host`."""
    return "; ".join(f"{name} {rule}" for name, rule in RULES.items()).format(
        nonce=nonce, sockets=f"ws://{host}"
    )


def signed(page: str, nonce: str) -> str:
    """A page whose own scripts carry the nonce. Whatever else is in it is escaped: no `<` of a plan is one
    here.
    """
    return SCRIPT.sub(f'<script nonce="{nonce}"', page)
