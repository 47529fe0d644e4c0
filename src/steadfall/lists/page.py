"""A list as a page for the browser; nothing in it comes from elsewhere."""

from __future__ import annotations

from html import escape

from steadfall.lists.sheet import Sheet

STYLE = (
    "body{font:14px/1.4 sans-serif;margin:2em;color:#111}table{border-collapse:collapse}"
    "th,td{border:1px solid #999;padding:.3em .5em;text-align:left;vertical-align:top}"
    "th{background:#eee;position:sticky;top:0}td:nth-child(n+4){text-align:center}"
    "@media print{th{position:static}}"
)


def page(sheet: Sheet, title: str, origin: str) -> str:
    """The list with its legend; `origin` says which plan it is from."""
    head = "".join(f'<th scope="col">{escape(heading)}</th>' for heading in sheet.headings)
    rows = "\n".join(f"<tr>{''.join(f'<td>{escape(cell)}</td>' for cell in row)}</tr>" for row in sheet.rows)
    notes = "".join(f"<li>{escape(note)}</li>" for note in sheet.notes)
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8"><title>{escape(title)}</title>'
        f"<style>{STYLE}</style></head>\n<body><h1>{escape(title)}</h1><p>{escape(origin)}</p>\n"
        f"<table><thead><tr>{head}</tr></thead>\n<tbody>\n{rows}\n</tbody></table>\n<ul>{notes}</ul></body></html>\n"
    )
