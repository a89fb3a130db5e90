"""Reads a workbook with openpyxl, has LibreOffice work every formula out anew, and compares both with the stored values.

Usage: check_workbook.py BOOK.xlsx FOLDER. Prints the number of formulas and every named total.
"""

import subprocess
import sys
from pathlib import Path

import openpyxl

book, folder = Path(sys.argv[1]), Path(sys.argv[2])
stored = openpyxl.load_workbook(book, data_only=True)
formulas = openpyxl.load_workbook(book)
# openpyxl keeps no values beside formulas when it saves, so that LibreOffice has to work all of them out.
bare = folder / "bare.xlsx"
formulas.save(bare)
done = folder / "done"
profile = f"-env:UserInstallation=file://{folder}/profile"
command = ["soffice", profile, "--headless", "--convert-to", "xlsx", "--outdir", str(done), str(bare)]
subprocess.run(command, check=True, capture_output=True, timeout=240)
again = openpyxl.load_workbook(done / "bare.xlsx", data_only=True)
count = 0
for sheet in formulas.worksheets:
    assert sheet.freeze_panes == "A4", (sheet.title, sheet.freeze_panes)
    for row in sheet.iter_rows():
        for cell in row:
            if cell.data_type != "f":
                continue
            count += 1
            said = stored[sheet.title][cell.coordinate].value
            made = again[sheet.title][cell.coordinate].value
            assert isinstance(said, (int, float)), (sheet.title, cell.coordinate, said)
            assert isinstance(made, (int, float)), (sheet.title, cell.coordinate, made)
            assert abs(said - made) <= 1e-6 * max(1.0, abs(said)), (sheet.title, cell.coordinate, cell.value, said, made)
assert count > 40, count
assert str(stored.properties.created) == "2000-01-01 00:00:00", stored.properties.created
quote = stored["Material and quote"]
for row in quote.iter_rows(min_row=4):
    if row[0].value in ("Material", "Labour", "Markup", "Tax", "Total"):
        print(row[0].value, row[7].value)
print("formulas", count)
