"""The readers of what people hand in, each as one function of bytes, to be fed anything."""

from __future__ import annotations

import io
import json
import tempfile
import zipfile
from pathlib import Path

from haywright.files.batches import read_batch
from haywright.files.columns import ColumnsForm, ColumnUse, read_columns
from haywright.files.instruments import read_instrument_table
from haywright.measure.errors import HaywrightError
from haywright.words import say

FORM = """determination = "dry_matter"
method = "one_stage"
run_on = 2026-09-22
[choices]
drying_lab = "oven_105c_3h"
[[equipment]]
kind = "balance"
name = "b"
checked_on = 2026-09-22
checks = [[50.0, 50.0001]]
[scatter]
lab_dm = { repeat = 0.1 }
[[void]]
position = 2
cause = "dropped"
"""
ORDER = """position,kind,sample,replicate,dish_g,dish_powder_g,dish_dry_g,read_at
1,check,oat check,,48.1032,50.1187,49.9651,2026-09-22T14:05:00-06:00
2,bag,HRN-0041-20,1,48.2210,50.2300,50.0800,
"""
COLUMNS = """sheet = "S"
skip_rows = 1
decimal = "comma"
pass_over = ["Mean"]
[[column]]
holds = "position"
heading = "Cup"
[[column]]
holds = "sample_g"
heading = ["Net", "Weight"]
unit = "mg"
"""
EXPORT = "run 1\nCup;Name;Height;Net [mg]\n1;a;0,5;301,2\n2;b;<0,05;0.3 g\nMean;;1,234;\n"
SHEET = (
    '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><cols><col '
    'min="2" max="2" hidden="1"/></cols><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>Cup'
    '</t></is></c><c r="C1" t="inlineStr"><is><t>Height</t></is></c></row><row r="2" hidden="1">'
    '<c r="A2"><v>1</v></c><c r="C2"><f>A2*2</f><v>0.5</v></c></row></sheetData><mergeCells>'
    '<mergeCell ref="A2:A3"/></mergeCells></worksheet>'
)
OPEN = ColumnsForm(
    "any",
    (
        ColumnUse("position", ("Cup",)),
        ColumnUse("peak", ("Height",)),
    ),
    pass_over=("Mean",),
    allow=("formula_values", "hidden", "other_kinds"),
)
WITH_NET = ColumnsForm("net", (OPEN.columns[0], ColumnUse("sample_g", ("Net",), unit="mg")))


def batch_form(data: bytes, folder: Path) -> None:
    (folder / "batch.toml").write_bytes(data)
    (folder / "readings.csv").write_text(ORDER, "utf-8")
    read_batch(folder)


def readings(data: bytes, folder: Path) -> None:
    (folder / "batch.toml").write_text(FORM, "utf-8")
    (folder / "readings.csv").write_bytes(data)
    read_batch(folder)


def columns(data: bytes, folder: Path) -> None:
    (folder / "columns").mkdir(exist_ok=True)
    (folder / "columns" / "any.toml").write_bytes(data)
    read_columns(folder, "any")


def table(data: bytes, folder: Path) -> None:
    (folder / "run.csv").write_bytes(data)
    for form in (WITH_NET, OPEN):
        found = read_instrument_table(folder / "run.csv", form)
        json.dumps(found.to_json(), allow_nan=False)
        found.refuse()


def book(data: bytes, folder: Path) -> None:
    """The bytes as the one sheet of a workbook that is sound otherwise."""
    raw(workbook(data), folder)


def open_book(data: bytes, folder: Path) -> None:
    """The bytes as the content of an OpenDocument sheet."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", data)
        archive.writestr("META-INF/manifest.xml", MANIFEST)
    raw(out.getvalue(), folder)


def raw(data: bytes, folder: Path) -> None:
    """The bytes as they are, whatever kind of file they make."""
    (folder / "run").write_bytes(data)
    found = read_instrument_table(folder / "run", OPEN)
    json.dumps(found.to_json(), allow_nan=False)
    found.refuse()


def workbook(sheet: bytes) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, text in PARTS.items():
            archive.writestr(name, text)
        archive.writestr("xl/worksheets/sheet1.xml", sheet)
    return out.getvalue()


_TYPES = "http://schemas.openxmlformats.org"
_MAIN = "application/vnd.openxmlformats-officedocument.spreadsheetml"
PARTS = {
    "[Content_Types].xml": f'<Types xmlns="{_TYPES}/package/2006/content-types"><Override '
    f'PartName="/xl/workbook.xml" ContentType="{_MAIN}.sheet.main+xml"/><Override '
    f'PartName="/xl/worksheets/sheet1.xml" ContentType="{_MAIN}.worksheet+xml"/></Types>',
    "_rels/.rels": f'<Relationships xmlns="{_TYPES}/package/2006/relationships"><Relationship '
    f'Id="a" Type="{_TYPES}/officeDocument/2006/relationships/officeDocument" '
    'Target="xl/workbook.xml"/></Relationships>',
    "xl/workbook.xml": f'<workbook xmlns="{_TYPES}/spreadsheetml/2006/main" xmlns:r="{_TYPES}/'
    'officeDocument/2006/relationships"><sheets><sheet name="S" sheetId="1" r:id="b"/></sheets>'
    "</workbook>",
    "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_TYPES}/package/2006/relationships">'
    f'<Relationship Id="b" Type="{_TYPES}/officeDocument/2006/relationships/worksheet" '
    'Target="worksheets/sheet1.xml"/></Relationships>',
}
MANIFEST = (
    '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>'
)
OPEN_SHEET = (
    '<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
    'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
    'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet>'
    '<table:table table:name="S"><table:table-row><table:table-cell office:value-type="string">'
    '<text:p>Cup</text:p></table:table-cell><table:table-cell office:value-type="string"><text:p>'
    "Height</text:p></table:table-cell></table:table-row><table:table-row "
    'table:number-rows-repeated="1"><table:table-cell table:number-columns-repeated="2" '
    'office:value-type="float" office:value="1"/></table:table-row></table:table>'
    "</office:spreadsheet></office:body></office:document-content>"
)
READERS = {
    "batch_form": (batch_form, FORM),
    "readings": (readings, ORDER),
    "columns": (columns, COLUMNS),
    "table": (table, EXPORT),
    "book": (book, SHEET),
    "open_book": (open_book, OPEN_SHEET),
    "raw": (raw, "PK\x03\x04"),
}


def seed(name: str) -> bytes:
    """Sound input of a reader, with the byte before it that chooses the reader."""
    return bytes([list(READERS).index(name)]) + READERS[name][1].encode()


def fed_by_first_byte(data: bytes) -> tuple[str, ...]:
    """Feed the reader that the first byte chooses with the rest."""
    names = list(READERS)
    return fed(names[data[0] % len(names)], data[1:]) if data else ()


def fed(name: str, data: bytes) -> tuple[str, ...]:
    """What a reader says to some bytes; anything but a refusal in words comes through."""
    with tempfile.TemporaryDirectory() as folder:
        try:
            READERS[name][0](data, Path(folder))
        except HaywrightError as error:
            return tuple(say(one) for one in error.messages())
    return ()
