"""Write schedules as CSV files and as one spreadsheet."""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Sequence

from cladmodel.schedules.tables import Cell, Column, Listing

KEPT = 3
"""Decimals written, whatever is shown: a thousandth of a millimetre."""

WIDEST = 60
"""A spreadsheet's column is no wider than so many letters."""

_FORMULAS = ("=", "+", "-", "@", "\t", "\r")
"""A text that begins so is worked out, not shown, by software that opens the file as a spreadsheet."""

_NO_DATE = datetime.datetime(2000, 1, 1)
"""Written where the format wants a date, so that the same job gives the same bytes."""


def csv_text(listing: Listing) -> str:
    """Write a schedule as comma-separated values (RFC 4180), headings with their units first.

    A name that a spreadsheet would take for a formula has an apostrophe before it, which spreadsheets hide.

    Parameters
    ----------
    listing : Listing
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_heading(column) for column in listing.columns])
    for row in listing.rows:
        writer.writerow(["" if cell is None else _inert(_kept(cell)) for cell in row])
    return out.getvalue()


def xlsx_bytes(listings: Sequence[Listing], title: str) -> bytes:
    """Write schedules as one spreadsheet, a sheet each; the same bytes each time.

    Parameters
    ----------
    listings : sequence of Listing
    title : str
        Of the job.
    """
    import xlsxwriter

    out = io.BytesIO()
    # Text stays text: nothing a scene says becomes a formula or a link.
    plain = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False}
    with xlsxwriter.Workbook(out, plain) as book:
        book.set_properties({"title": title, "created": _NO_DATE})
        bold = book.add_format({"bold": True, "bottom": 1, "text_wrap": True, "valign": "top"})
        for listing in listings:
            sheet = book.add_worksheet(listing.name)
            sheet.freeze_panes(1, 0)
            sheet.set_landscape()
            sheet.set_paper(9)  # A4
            sheet.fit_to_pages(1, 0)
            sheet.repeat_rows(0)
            sheet.set_header(f"&L{_header(title)}: {listing.title}&RPage &P of &N")
            for n, column in enumerate(listing.columns):
                form = book.add_format({"num_format": _number_form(column, listing, n)})
                sheet.set_column(n, n, _width(listing, n), form)
                sheet.write_string(0, n, _heading(column), bold)
            for line, row in enumerate(listing.rows, start=1):
                for n, cell in enumerate(row):
                    if isinstance(cell, str):
                        sheet.write_string(line, n, cell)
                    elif cell is not None:
                        sheet.write_number(line, n, _kept(cell))
    return out.getvalue()


def _inert(cell: Cell) -> Cell:
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(_FORMULAS) else cell


def _header(text: str) -> str:
    """A text in a page header, where an ampersand begins a code; a header holds 255 letters at most."""
    return text[:100].replace("&", "&&")


def _heading(column: Column) -> str:
    return f"{column.heading} [{column.unit}]" if column.unit else column.heading


def _kept(cell: Cell) -> Cell:
    return round(cell, KEPT) + 0.0 if isinstance(cell, float) else cell


def _number_form(column: Column, listing: Listing, n: int) -> str:
    """Decimals for figures, none for counts and words."""
    if not any(isinstance(row[n], float) for row in listing.rows):
        return "General"
    return "0." + "0" * column.places if column.places else "0"


def _width(listing: Listing, n: int) -> float:
    longest = max((len(str(_kept(row[n]))) for row in listing.rows if row[n] is not None), default=0)
    words = max(len(word) for word in _heading(listing.columns[n]).split())
    return float(min(max(longest, words) + 2, WIDEST))
