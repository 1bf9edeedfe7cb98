"""readback.py BOOK.xlsx ...: print every filled cell as openpyxl reads it, one
JSON list a line: number of the book, sheet, cell, value. Values of formulas are
the cached ones."""
import datetime
import json
import sys
import warnings

import openpyxl

warnings.simplefilter("ignore")
for number, path in enumerate(sys.argv[1:]):
    book = openpyxl.load_workbook(path, data_only=True, read_only=True)
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                value = cell.value
                if value is None:
                    continue
                if isinstance(value, (datetime.date, datetime.time)):
                    value = value.isoformat()
                print(json.dumps([number, sheet.title, cell.coordinate, value]))
