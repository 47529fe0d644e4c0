"""The page in a browser: the same uses as the commands, for a person who does not live in a terminal.

Rule of this room: a view shows what a use of `app/` gave and hands wishes back to it; it works nothing out.
"""
