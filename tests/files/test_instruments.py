"""Instruments' tables: what is understood, and every slip named with its row and column.

Outside checks: the rows of RFC 4180 section 2, and workbooks written by XlsxWriter, which shares
nothing with the reader.
"""

from __future__ import annotations

import io
import zipfile
from datetime import date

import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st

from haywright.files.columns import (
    ColumnsForm,
    ColumnUse,
    checked_columns,
    columns_text,
    read_columns,
    save_columns,
)
from haywright.files.grid import shown, text_grid
from haywright.files.instruments import read_instrument_table
from haywright.files.reading import Checked
from haywright.files.spreadsheets import UNPACKED_BYTES, spreadsheet_grid
from haywright.measure.errors import HaywrightError
from haywright.words import say

CUP = ColumnUse("position", ("Cup",))
NAME = ColumnUse("sample", ("Name",))
PEAK = ColumnUse("peak", ("Height",))
WEIGHT = ColumnUse("sample_g", ("Weight",))
HEAD = "Cup;Name;Height\n"


def form(*columns, **more):
    return ColumnsForm("flow", columns or (CUP, NAME, PEAK), **more)


@pytest.fixture
def read(tmp_path):
    def reading(text, of=None, *, encoding="utf-8", run=""):
        path = tmp_path / "run.csv"
        path.write_bytes(text.encode(encoding))
        return read_instrument_table(path, of or form(), run=run)

    return reading


@pytest.fixture
def book(tmp_path):
    """A workbook written by XlsxWriter, read by a form."""

    def reading(fill, of=None):
        path = tmp_path / "run.xlsx"
        with xlsxwriter.Workbook(str(path)) as workbook:
            sheet = workbook.add_worksheet("Results")
            for row, cells in enumerate([("Cup", "Name", "Height"), *ROWS]):
                sheet.write_row(row, 0, cells)
            fill(workbook, sheet)
        return read_instrument_table(path, of or form())

    return reading


ROWS = [(1, "blank 1", 0.0034), (2, "oat 7", 0.2653), (3, "oat 8", 0.307)]


def keys(table):
    return [m.key.removeprefix("bench_tables.") for one in table.problems for m in one.messages()]


def places(table):
    """Where the problems lie, without the file's path."""
    fields = [str(m.args["field"]) for one in table.problems for m in one.messages()]
    return [one.partition(": ")[2] for one in fields]


def refusal(call):
    with pytest.raises(HaywrightError) as caught:
        call()
    return [m.key.removeprefix("bench_tables.") for m in caught.value.messages()]


# --- delimited text


def test_a_flow_run_with_preamble_semicolons_and_decimal_commas_is_understood(read):
    table = read(
        "Flow run\nOperator; lamp 540 nm, 21 °C\n" + HEAD + "1;blank 1;0,0034\n2;oat 7;0,2653\n",
        form(skip_rows=2),
        encoding="cp1252",
    )
    assert not table.problems
    assert (table.grid.encoding, table.grid.delimiter, table.decimal) == ("cp1252", ";", "comma")
    assert table.header.row == 3
    assert [(r.row, r.position, r.sample, r.readings["peak"]) for r in table.rows] == [
        (4, 1, "blank 1", 0.0034),
        (5, 2, "oat 7", 0.2653),
    ]


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_every_encoding_gives_the_same_rows(read, encoding):
    table = read(HEAD + "1;Blåbär;0,5\n", encoding=encoding)
    assert table.rows[0].sample == "Blåbär"
    assert table.rows[0].readings == {"peak": 0.5}


@pytest.mark.parametrize("sign", [",", ";", "\t", "|"])
def test_the_delimiter_is_found_below_lines_that_have_none(read, sign):
    rows = "one line, with a comma; and another\n" + "Cup;Name;Height\n1;a;0.5\n2;b;0.6\n3;c;0.7\n"
    text = rows if sign == ";" else rows.replace(";", sign)
    assert [one.position for one in read(text).rows] == [1, 2, 3]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # RFC 4180 section 2, rules 1 to 7, as printed there
        ("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        ("aaa,bbb,ccc\r\nzzz,yyy,xxx", [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        ('"aaa","bbb","ccc"\r\nzzz,yyy,xxx', [["aaa", "bbb", "ccc"], ["zzz", "yyy", "xxx"]]),
        (
            '"aaa","b\r\nbb","ccc"\r\nzzz,yyy,xxx',
            [["aaa", "b\r\nbb", "ccc"], ["zzz", "yyy", "xxx"]],
        ),
        ('"aaa","b""bb","ccc"', [["aaa", 'b"bb', "ccc"]]),
    ],
)  # fmt: skip
def test_the_rows_of_rfc_4180_are_read_as_it_says(text, expected, tmp_path):
    grid = text_grid(text.encode(), tmp_path / "x.csv")
    assert [list(row.cells) for row in grid.rows] == expected


def test_one_number_with_a_leading_nought_settles_what_the_commas_are(read):
    table = read(HEAD + "1;a;1,234\n2;b;0,5\n")
    assert table.rows[0].readings == {"peak": 1.234}


def test_commas_that_could_be_thousands_are_refused_until_the_form_says(read):
    text = HEAD + "1;a;1,234\n2;b;2,345\n"
    table = read(text)
    assert keys(table) == ["mark_unclear", "mark_unclear"]
    assert places(table)[0] == "row 2, column Height"
    assert read(text, form(decimal="comma")).rows[0].readings == {"peak": 1.234}


@pytest.mark.parametrize(
    ("cell", "key"),
    [
        ("over", "measure.not_a_number"),
        ("NaN", "not_finite"),
        ("-inf", "not_finite"),
        ("1e999", "not_finite"),
        ("<0,05", "bench.file.below"),
        ("1.5", "other_mark"),
        ("1.234,5", "other_mark"),
        ("1_000", "measure.not_a_number"),
        ("٣", "measure.not_a_number"),
        ("#DIV/0!", "measure.not_a_number"),
        ("=B2*2", "measure.not_a_number"),
    ],
)
def test_what_is_no_reading_is_refused_with_row_and_column(read, cell, key):
    table = read(HEAD + f"1;a;0,5\n2;b;{cell}\n")
    assert keys(table) == [key]
    assert places(table) == ["row 3, column Height"]
    assert [one.position for one in table.rows] == [1, 2]
    assert refusal(table.refuse) == [key]


def test_a_negative_signal_is_a_reading_and_left_for_the_batch_to_judge(read):
    assert read(HEAD + "1;a;-0,0021\n2;b;−0,5\n").rows[1].readings == {"peak": -0.5}


def test_an_absent_reading_is_missing_and_not_nought(read):
    table = read(HEAD + "1;a;n.a.\n2;b;\n3;c;0,5\n", form(absent=("n.a.",)))
    assert not table.problems
    assert [dict(one.readings) for one in table.rows] == [{}, {}, {"peak": 0.5}]


def test_a_row_that_is_cut_off_is_refused(read):
    table = read(HEAD + "1;a;0,5\n2;b\n")
    assert (keys(table), places(table)) == (["row_length"], ["row 3"])
    assert keys(read(HEAD + "1;a;0,5;\n2;b;0,4;\n")) == []
    assert keys(read(HEAD + "1;a;0,5;more\n")) == ["row_length"]


def test_empty_rows_between_others_are_told_but_not_those_at_the_end(read):
    text = HEAD + "1;a;0,5\n;;\n\n4;d;0,4\n;;\n\n"
    assert (keys(read(text)), places(read(text))) == (["empty_rows"], ["row 3"])
    assert keys(read(text, form(allow=("empty_rows",)))) == []


def test_a_position_twice_is_told_with_both_rows(read):
    table = read(HEAD + "1;a;0,5\n1;b;0,4\n")
    assert (keys(table), places(table)) == (["position_twice"], ["row 3"])


def test_a_place_that_is_no_whole_number_and_a_cup_without_a_name_are_told(read):
    table = read(HEAD + "A1;a;0,5\n²;b;0,5\n3;;0,5\n")
    assert keys(table) == ["bench.file.whole", "bench.file.whole", "bench.file.cell_missing"]
    assert places(table)[2] == "row 4, column Name"


def test_mean_rows_at_the_foot_are_passed_over_and_told(read):
    table = read(HEAD + "1;a;0,5\nMean;;0,5\n", form(pass_over=("mean",)))
    assert (keys(table), table.passed_over) == ([], (3,))


def test_one_run_of_an_export_that_holds_several(read):
    of = form(CUP, PEAK, ColumnUse("run", ("Run",)))
    text = "Run;Cup;Height\nA;1;0,5\nA;2;0,4\nB;1;0,3\n"
    assert [one.readings["peak"] for one in read(text, of, run="B").rows] == [0.3]
    assert len(read(text, of).rows) == 3
    assert keys(read(text, of, run="C")) == ["no_run"]


def test_columns_are_found_by_their_place_where_there_are_no_headings(read):
    of = form(ColumnUse("position", at=1), ColumnUse("peak", at=3))
    table = read("1;x;0,5\n2;y;0,6\n", of)
    assert [one.readings["peak"] for one in table.rows] == [0.5, 0.6]
    assert table.header.row == 0


def test_a_table_without_positions_is_counted_from_the_top(read):
    table = read("Name;Height\na;0,5\nb;0,4\n", form(NAME, PEAK))
    assert [one.position for one in table.rows] == [1, 2]
    assert "counted" in table.notes[0].key


def test_a_heading_that_is_missing_is_told_with_those_that_are_there(read):
    with pytest.raises(HaywrightError) as caught:
        read("Cup;Name;Area\n1;a;0,5\n")
    assert say(caught.value.message).endswith(
        "no column is called “Height” (peak). This row has Cup, Name, and Area."
    )
    assert refusal(lambda: read("Cup;Name;Height;Height\n1;a;1,5;2\n")) == ["heading_twice"]
    assert refusal(lambda: read("", form())) == ["files.empty"]
    assert refusal(lambda: read(HEAD, form(header_row=9))) == ["no_header"]
    assert keys(read(HEAD)) == ["no_rows"]


# --- units


def test_a_weight_written_in_mg_becomes_g(read):
    of = form(CUP, ColumnUse("sample_g", ("Weight",), unit="mg"))
    assert read("Cup;Weight [mg]\n1;301.2\n", of).rows[0].readings == {
        "sample_g": pytest.approx(0.3012, rel=1e-12)
    }


def test_a_heading_in_mg_where_the_form_says_g_is_refused(read):
    assert refusal(lambda: read("Cup;Weight (mg)\n1;301.2\n", form(CUP, WEIGHT))) == [
        "heading_unit"
    ]


def test_one_weight_in_mg_among_weights_in_g_is_named(read):
    rows = "".join(f"{n};{0.29 + n / 1000}\n" for n in range(1, 9))
    table = read(f"Cup;Weight\n{rows}9;301.2\n", form(CUP, WEIGHT))
    assert (keys(table), places(table)) == (["thousandfold"], ["row 10, column Weight"])
    written = read(f"Cup;Weight\n{rows}9;301.2 mg\n", form(CUP, WEIGHT))
    assert keys(written) == ["other_unit"]
    assert keys(read("Cup;Weight\n1;0.3 g\n2;0.31 g\n", form(CUP, WEIGHT))) == []


@given(st.lists(st.floats(0.2, 0.5), min_size=3, max_size=20), st.data())
def test_whichever_weight_is_a_thousand_times_too_large_is_the_one_named(weights, data):
    slip = data.draw(st.integers(0, len(weights) - 1))
    lines = [f"{n};{w * (1000 if n - 1 == slip else 1)!r}" for n, w in enumerate(weights, 1)]
    text = "Cup;Weight\n" + "\n".join(lines) + "\n"
    import tempfile
    from pathlib import Path

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "run.csv")
        path.write_text(text)
        table = read_instrument_table(path, form(CUP, WEIGHT))
    assert places(table) == [f"row {slip + 2}, column Weight"]


# --- spreadsheets


def test_a_workbook_of_another_library_gives_its_rows(book):
    table = book(lambda *_: None)
    assert not table.problems
    assert [(r.row, r.position, r.sample, r.readings["peak"]) for r in table.rows] == [
        (n + 2, *row) for n, row in enumerate(ROWS)
    ]


def test_a_formula_is_refused_unless_its_value_is_allowed_and_there(book):
    def fill(workbook, sheet):
        sheet.write_formula("C3", "=C2*2", None, 0.0068)

    assert (keys(book(fill)), places(book(fill))) == (["formula"], ["row 3, column Height"])
    allowed = book(fill, form(allow=("formula_values",)))
    assert allowed.rows[1].readings == {"peak": 0.0068}
    assert "formula_values" in allowed.notes[0].key


def test_a_formula_that_was_never_worked_out_has_no_value_to_take(tmp_path):
    from openpyxl import Workbook

    workbook = Workbook()
    for row in (("Cup", "Name", "Height"), (1, "a", "=1+1")):
        workbook.active.append(row)
    workbook.save(tmp_path / "run.xlsx")
    table = read_instrument_table(tmp_path / "run.xlsx", form(allow=("formula_values",)))
    assert keys(table) == ["formula_empty"]


def test_a_formula_in_the_place_is_refused_too(book):
    table = book(lambda _, sheet: sheet.write_formula("A3", "=A2+1", None, 2))
    assert "formula" in keys(table)
    assert "row 3, column Cup" in places(table)


def test_merged_cells_among_the_rows_are_refused_and_above_them_are_not(book):
    def merged(workbook, sheet):
        sheet.merge_range("B2:B3", "blank 1")

    assert (keys(book(merged))[0], places(book(merged))[0]) == ("merged", "row 2")


def test_a_merged_title_above_the_headings_does_no_harm(tmp_path):
    with xlsxwriter.Workbook(str(tmp_path / "run.xlsx")) as workbook:
        sheet = workbook.add_worksheet()
        sheet.merge_range("A1:C1", "Flow run")
        for row, cells in enumerate([("Cup", "Name", "Height"), *ROWS], 1):
            sheet.write_row(row, 0, cells)
    table = read_instrument_table(tmp_path / "run.xlsx", form())
    assert (keys(table), table.header.row, len(table.rows)) == ([], 2, 3)


def test_hidden_rows_and_columns_are_refused_unless_allowed(book):
    def row(workbook, sheet):
        sheet.set_row(2, None, None, {"hidden": True})

    def column(workbook, sheet):
        sheet.set_column(2, 2, None, None, {"hidden": True})

    assert (keys(book(row)), places(book(row))) == (["hidden_row"], ["row 3"])
    assert keys(book(column)) == ["hidden_column"]
    assert keys(book(row, form(allow=("hidden",)))) == []


def test_a_hidden_sheet_is_told_and_not_read_by_mistake(book):
    def fill(workbook, sheet):
        workbook.add_worksheet("Old").hide()

    table = book(fill)
    assert (keys(table), table.grid.hidden_sheets) == ([], ("Old",))
    assert "hidden_sheets" in table.notes[0].key
    assert refusal(lambda: book(fill, form(sheet="Old"))) == ["no_header"]


def test_two_sheets_in_sight_need_one_to_be_named(book):
    def fill(workbook, sheet):
        workbook.add_worksheet("Curve")

    assert refusal(lambda: book(fill)) == ["which_sheet"]
    assert keys(book(fill, form(sheet="Results"))) == []
    assert refusal(lambda: book(fill, form(sheet="Result"))) == ["measure.unknown_name"]


def test_a_number_shown_as_per_cent_is_no_bare_signal(book):
    def fill(workbook, sheet):
        sheet.write_number("C3", 0.924, workbook.add_format({"num_format": "0.0%"}))

    table = book(fill)
    assert (keys(table), places(table)) == (["other_unit"], ["row 3, column Height"])
    assert "92.4 %" in say(table.problems[0].message)


def test_a_date_an_error_and_a_truth_in_a_number_are_refused(book):
    def fill(workbook, sheet):
        sheet.write_datetime("C2", date(2026, 9, 14), workbook.add_format({"num_format": "d/m/y"}))
        sheet.write_boolean("C3", True)  # noqa: FBT003 - that is its signature
        sheet.write_string("C4", "#N/A")

    assert keys(book(fill)) == ["measure.not_a_number"] * 3


def test_a_workbook_with_one_cell_at_the_far_corner_is_refused_not_filled_up(book):
    far_down = lambda _, sheet: sheet.write(1_000_000, 2, "x")  # noqa: E731
    assert refusal(lambda: book(far_down)) == ["files.too_many_rows"]
    assert refusal(lambda: book(lambda _, s: s.write(1, 16_000, "x"))) == ["too_wide"]


def test_a_merged_range_of_a_whole_sheet_costs_nothing(tmp_path):
    written, out = tmp_path / "run.xlsx", io.BytesIO()
    with xlsxwriter.Workbook(str(written)) as workbook:
        sheet = workbook.add_worksheet()
        for row, cells in enumerate([("Cup", "Name", "Height"), *ROWS]):
            sheet.write_row(row, 0, cells)
        sheet.merge_range("E1:F1", "")
    with zipfile.ZipFile(written) as before, zipfile.ZipFile(out, "w") as after:
        for name in before.namelist():
            after.writestr(name, before.read(name).replace(b"E1:F1", b"E1:XFD1048576"))
    written.write_bytes(out.getvalue())
    table = read_instrument_table(written, form())
    assert (keys(table), places(table)) == (["merged"], ["row 1"])


# --- limits


def bomb(parts):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, size in parts.items():
            with archive.open(name, "w", force_zip64=True) as stream:
                for _ in range(size // 1_000_000):
                    stream.write(b" " * 1_000_000)
    return out.getvalue()


def test_a_zip_that_unpacks_to_more_than_the_limit_is_refused_unopened(tmp_path):
    data = bomb({"xl/workbook.xml": 1_000_000, "xl/sharedStrings.xml": UNPACKED_BYTES})
    assert len(data) < 1_000_000
    assert refusal(lambda: spreadsheet_grid(data, tmp_path / "x.xlsx")) == ["unpacked"]


def test_a_workbook_that_defines_entities_is_refused(tmp_path):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("xl/_rels/workbook.xml.rels", '<!DOCTYPE r [<!ENTITY a "b">]><r>&a;</r>')
        archive.writestr("xl/workbook.xml", "<workbook/>")
    assert refusal(lambda: spreadsheet_grid(out.getvalue(), tmp_path / "x.xlsx")) == ["broken"]


def test_a_file_of_200_megabytes_is_refused_unread(tmp_path):
    path = tmp_path / "run.csv"
    with path.open("wb") as stream:
        stream.truncate(200_000_000)
    assert refusal(lambda: read_instrument_table(path, form())) == ["files.too_large"]


def test_a_zip_that_is_no_spreadsheet_is_refused(tmp_path):
    assert refusal(lambda: spreadsheet_grid(bomb({"a.txt": 0}), tmp_path / "x.zip")) == [
        "other_kind"
    ]


# --- other kinds of spreadsheet

ODS = """<?xml version="1.0"?><office:document-content
 xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
 xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet>
<table:table table:name="Results">{rows}</table:table></office:spreadsheet></office:body>
</office:document-content>"""


def open_document(rows):
    """A sheet by the OpenDocument standard (ISO/IEC 26300), written out by hand."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", ODS.format(rows=rows))
        archive.writestr(
            "META-INF/manifest.xml",
            '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"'
            "/>",
        )
    return out.getvalue()


def open_row(*cells, times=1):
    found = "".join(
        f'<table:table-cell office:value-type="float" office:value="{one}"/>'
        if isinstance(one, float)
        else f'<table:table-cell office:value-type="string"><text:p>{one}</text:p>'
        "</table:table-cell>"
        for one in cells
    )
    return f'<table:table-row table:number-rows-repeated="{times}">{found}</table:table-row>'


def test_an_open_document_is_read_once_it_is_allowed_that_it_hides_things(tmp_path):
    path = tmp_path / "run.ods"
    path.write_bytes(open_document(open_row("Cup", "Height") + open_row(1.0, 0.25)))
    assert keys(read_instrument_table(path, form(CUP, PEAK))) == ["does_not_tell"]
    table = read_instrument_table(path, form(CUP, PEAK, allow=("other_kinds",)))
    assert (keys(table), table.rows[0].readings) == ([], {"peak": 0.25})


def test_an_open_document_whose_rows_unfold_without_end_is_refused_before(tmp_path):
    data = open_document(open_row(*[1.0] * 300, times=1_000_000))
    assert refusal(lambda: spreadsheet_grid(data, tmp_path / "x.ods")) == ["files.too_many_rows"]


# --- the saved form


def test_a_saved_form_says_the_same_when_read_back(tmp_path):
    written = form(
        CUP,
        ColumnUse("sample", ('Na"me\\', "Täg\t")),
        ColumnUse("sample_g", at=4, unit="mg"),
        sheet="Blatt 1",
        skip_rows=2,
        header_row=3,
        delimiter="\t",
        decimal="comma",
        pass_over=("Mean", "SD"),
        absent=("n.a.",),
        allow=("hidden", "formula_values"),
    )
    save_columns(tmp_path, written)
    read = read_columns(tmp_path, "flow")
    assert read.columns[1].headings == ('Na"me\\', "Täg")
    assert columns_text(read).replace("Täg", "Täg\\U00000009") == columns_text(written)
    assert refusal(lambda: save_columns(tmp_path, written)) == ["form_taken"]
    save_columns(tmp_path, form(), replace=True)
    assert read_columns(tmp_path, "flow") == form()


@pytest.mark.parametrize("name", ["", "../x", "a/b", "a b", ".x", "x" * 70, "a\x00b"])
def test_a_name_that_leads_elsewhere_is_refused(tmp_path, name):
    assert refusal(lambda: read_columns(tmp_path, name)) == ["form_name"]


def test_an_unknown_name_is_told_with_the_known_ones(tmp_path):
    save_columns(tmp_path, form())
    with pytest.raises(HaywrightError) as caught:
        read_columns(tmp_path, "flaw")
    assert "flow" in say(caught.value.message)


@pytest.mark.parametrize(
    ("fields", "key"),
    [
        ({"column": []}, "no_place"),
        ({"column": [{"holds": "position", "at": 1}]}, "no_reading"),
        ({"column": [{"holds": "position"}, {"holds": "peak", "at": 2}]}, "heading_or_place"),
        ({"column": [{"holds": "position", "at": 1, "heading": "C"}, {"holds": "peak", "at": 2}]},
         "heading_or_place"),
        ({"column": [{"holds": "position", "at": 1}, {"holds": "peek", "at": 2}]},
         "measure.unknown_name"),
        ({"column": [{"holds": "position", "at": 1}, {"holds": "position", "at": 3},
                     {"holds": "peak", "at": 2}]}, "held_twice"),
        ({"column": [{"holds": "position", "at": 1},
                     {"holds": "sample_g", "at": 2, "unit": "mL"}]}, "unit_unfit"),
        ({"column": [{"holds": "position", "at": 1},
                     {"holds": "sample_g", "at": 2, "unit": "ton"}]}, "measure.bare_ton"),
        ({"column": [{"holds": "position", "at": 1, "unit": "mg"}, {"holds": "peak", "at": 2}]},
         "unit_of_no_reading"),
        ({"column": [{"holds": "position", "at": 1}, {"holds": "peak", "at": 2}],
          "skip_rows": 3, "header_row": 2}, "header_skipped"),
        ({"column": [{"holds": "position", "at": 1}, {"holds": "peak", "at": 2}],
          "decimal": "dot"}, "measure.unknown_name"),
        ({"column": [{"holds": "position", "at": 1}, {"holds": "peak", "at": 2}],
          "vendor": "x"}, "measure.unknown_name"),
        ({"column": "position"}, "files.tables"),
    ],
)  # fmt: skip
def test_a_form_at_odds_with_itself_is_refused(fields, key):
    found = refusal(lambda: checked_columns(Checked(fields, "flow"), "flow"))
    assert any(one.startswith(key) for one in found)


@given(st.text(), st.text(min_size=1).filter(str.strip))
def test_any_text_survives_being_saved_as_toml(sheet, heading):
    import tomllib

    text = columns_text(form(CUP, ColumnUse("peak", (heading,)), sheet=sheet))
    back = tomllib.loads(text)
    assert back.get("sheet", "") == sheet
    assert back["column"][1]["heading"] == heading


def test_cells_are_shown_as_a_person_reads_them():
    assert [shown(one) for one in (3.0, 0.25, " a ")] == ["3", "0.25", "a"]
