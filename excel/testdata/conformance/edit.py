"""edit.py IN.xlsx OUT.xlsx EDITS.json: fill in, change and rearrange a point
schedule as a vendor would, through openpyxl, and list what was done: kind,
sheet, key, heading, text. The choice is fixed by a seed."""
import json
import random
import sys
import warnings

import openpyxl
from openpyxl.comments import Comment

warnings.simplefilter("ignore")
source, target, listing = sys.argv[1:4]
random.seed(20260314)
book = openpyxl.load_workbook(source)
done = []


class Table:
    """A sheet with a heading in row 1 and keys."""

    def __init__(self, name, key="Key"):
        self.name, self.sheet = name, book[name]
        self.columns = {c.value: c.column for c in self.sheet[1] if c.value is not None}
        self.rows = {}
        for r in range(2, self.sheet.max_row + 1):
            k = self.sheet.cell(r, self.columns[key]).value
            if k is not None:
                self.rows[k] = r

    def write(self, kind, key, title, value):
        self.sheet.cell(self.rows[key], self.columns[title]).value = value
        done.append([kind, self.name, key, title, str(value)])


points = Table("Point schedule")
keys = sorted(points.rows)
random.shuffle(keys)
pick = iter(keys)
for n in range(60):
    points.write("answer", next(pick), "Vendor status", ["accept", "change", "query", "not available"][n % 4])
for n in range(6):
    points.write("answer", next(pick), "Vendor status", ["acept", "n/a", "ja"][n % 3])
for n in range(25):
    points.write("answer", next(pick), "Vendor remark", ["=see note %d", "needs relay %d", "@panel %d", "Größe %d ≠ 4"][n % 4] % n)
for n in range(25):
    points.write("value", next(pick), "Instance", 40000 + n)
for n in range(25):
    points.write("value", next(pick), "Object name", "B7.NAME.%d" % n)
for n in range(15):
    points.write("value", next(pick), "Terminal", "X%d-UI%d" % (n % 3 + 1, n))
for n in range(10):
    points.write("value", next(pick), "Units", "parts-per-million")
for n in range(6):
    points.write("value", next(pick), "Description", "Fan %d, renamed by the vendor" % n)
for title, words in [("Polarity", "turned"), ("States", "Aus / Ein"), ("Contact sense", "as wired"), ("Fail state", "holds"),
                     ("Range", "-40 to 120"), ("Relinquish default", "last"), ("Furnished by", "us")]:
    points.write("value", next(pick), title, words)
for n in range(10):
    key = next(pick)
    points.sheet.cell(points.rows[key], points.columns["Description"]).comment = Comment("Please confirm %d" % n, "Vendor")
    done.append(["note", points.name, key, "Description", "Please confirm %d" % n])
own = points.sheet.max_column + 1
points.sheet.cell(1, own).value = "Our asset number"
for n in range(20):
    key = next(pick)
    points.sheet.cell(points.rows[key], own).value = "A-%05d" % n
    done.append(["own", points.name, key, "Our asset number", "A-%05d" % n])
check = Table("Point check-out")
for n, key in enumerate(random.sample(sorted(check.rows), 20)):
    check.write("answer", key, "Result", ["pass", "fail", "not tested"][n % 3])
    check.write("answer", key, "Date", "2026-06-%02d" % (n + 1))
ask = Table("Clarifications", "Question key")
for n, key in enumerate(sorted(ask.rows)[:3]):
    ask.write("answer", key, "Answer", "Answer %d: as assumed" % n)
# numbers that come back as text, and rows in another order
for n in range(10):
    key = next(pick)
    cell = points.sheet.cell(points.rows[key], points.columns["Priority"])
    if cell.value is not None:
        cell.value = str(cell.value)
# rows that are deleted, and rows added by hand without a key
for n in range(4):
    key = next(pick)
    points.sheet.delete_rows(points.rows[key])
    done.append(["gone", points.name, key, "", ""])
    points = Table("Point schedule")
for n in range(3):
    row = points.sheet.max_row + 1
    for title, words in [("Equipment", "XF-%d" % n), ("Role", "status"), ("Description", "A fan that the list forgot, %d" % n)]:
        points.sheet.cell(row, points.columns[title]).value = words
        done.append(["added", points.name, "", title, words])
cells = [[c.value for c in row] for row in points.sheet.iter_rows(min_row=2)]
notes = {points.sheet.cell(r, points.columns["Key"]).value: points.sheet.cell(r, points.columns["Description"]).comment
         for r in range(2, points.sheet.max_row + 1)}
random.shuffle(cells)
for r, row in enumerate(cells, start=2):
    for c, value in enumerate(row, start=1):
        cell = points.sheet.cell(r, c)
        cell.value = value
        if isinstance(value, str) and value.startswith("="):
            cell.data_type = "s"
        cell.comment = None
    note = notes.get(points.sheet.cell(r, points.columns["Key"]).value)
    if note is not None:
        points.sheet.cell(r, points.columns["Description"]).comment = Comment(note.text, note.author)
extra = book.create_sheet("Vendor questions")
extra["B2"] = "When is the panel needed?"
done.append(["sheet", "Vendor questions", "", "", "When is the panel needed?"])
book.save(target)
with open(listing, "w") as out:
    json.dump(done, out)
