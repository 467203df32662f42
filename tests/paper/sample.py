"""An invented test sheet as the template takes it: a bag of oat hay too close to call."""

from __future__ import annotations

from haywright.paper import blocks
from haywright.paper.drawings import UsualWords, usual_bar

FIVE = (
    ("Dry matter", "", "88.4", "% of the hay", "as received", "87.6 to 89.2", "measured",
     88.4, (87.6, 89.2), (84, 90), ("84", "90")),
    ("Crude protein", "", "9.6", "% of dry matter", "combustion", "9.2 to 10.0",
     "measured; 8.9 without nitrate nitrogen", 9.6, (9.2, 10.0), (7.5, 11), ("7.5", "11")),
    ("Energy", "TDN", "59.1", "% of dry matter", "TDN = 88.9 − 0.78 × ADF", "57.9 to 60.3",
     "calculated; the range holds ADF only", 59.1, (57.9, 60.3), (54, 61), ("54", "61")),
    ("Nitrate", "as nitrate-N (NO3-N)", "1,120", "mg/kg of dry matter", "4,960 as nitrate (NO3)",
     "890 to 1,460", "measured; sampling counted, planning spread", 1120, (890, 1460),
     (150, 1100), ("150", "1,100")),
    ("Relative feed value", "RFV", "89", "index, no unit", "from ADF and NDF", "85 to 93",
     "calculated; alfalfa in full bloom is 100", 89, (85, 93), (80, 100), ("80", "100")),
)  # fmt: skip


def _row(one):
    name, small, value, unit, basis, likely, kind, x, span, usual, ends = one
    drawn = usual_bar(
        x,
        UsualWords(*ends, name, f"{value} {unit}; usual {ends[0]} to {ends[1]}", ("",), ("",)),
        usual=usual,
        likely=span,
    )
    return {
        "name": name, "small": small, "value": value, "unit": unit, "basis": basis,
        "range": likely, "kind": kind, "bar": {"svg": drawn.svg, "alt": drawn.description},
    }  # fmt: skip


CALL = {
    "kind": "call",
    "title": "If a cow staggers, gasps or shows brown gums",
    "steps": [
        "Stop the feed. Take it away from them.",
        "Keep the cattle quiet. Do not drive them.",
        "Call the veterinarian and say “nitrate”.",
        "Keep the feed, and any carcass, for testing.",
    ],
    "who": "Dr. Inés Calloway, day and night",
    "number": "555 0142",
}


def sheet(*, rancher: str = "Dahl ranch", paper: str = "us-letter", rows: int = 6) -> dict:
    tested = [
        ("ADF", "33.8", "38.2", "36.7 to 39.7", "37.5 to 38.9", "fiber bags, acid detergent"),
        ("NDF (amylase)", "54.4", "61.5", "59.6 to 63.4", "60.4 to 62.6", "fiber bags, amylase"),
        ("Ash", "8.7", "9.8", "9.3 to 10.3", "9.6 to 10.0", "furnace, 600 °C"),
        ("Calcium", "0.27", "0.31", "0.28 to 0.34", "0.30 to 0.32", "plasma emission"),
        ("Phosphorus", "0.21", "0.24", "0.22 to 0.26", "0.23 to 0.25", "plasma emission"),
        ("Potassium", "1.87", "2.12", "1.98 to 2.26", "2.05 to 2.19", "plasma emission"),
    ]
    tested = (tested * (rows // len(tested) + 1))[:rows]
    return {
        "language": "en",
        "paper": paper,
        "title": "Test sheet 1, Lower bench oats",
        "head": {
            "name": "Haywright",
            "office": "Tamarack Fork hay office",
            "call": "Sick animal? Call 555 0142",
        },
        "kicker": ["Test sheet 1", "Lower bench oats", "bag TFK-0117-38, 20 of 64 bales",
                   "cored 22 September, released 1 October 2026"],
        "verdict": ["Too close to call.",
                    "Bred cows: no more than half the day’s feed, ground and mixed."],
        "lede": "The bag may stand either side of the guide’s edge at 1,000. "
                "The stricter row holds until a second test.",
        "standing": [("Clemson University’s guide, bred cows, nitrate-N (NO3-N) on dry matter. "
                     "Judged at the upper bound, 1,460 mg/kg: 540 under the line where the guide "
                     "says do not feed. Water counted. The guide’s row sets the limit.")],
        "aside": "",
        "five": {
            "head": ["What was tested", "", "Unit and basis", "Likely, 9 times in 10",
                     "Beside usual oat hay"],
            "rows": [_row(one) for one in FIVE],
            "caption": "Shaded: the middle 8 of 10 among 41 oat hays tested by this office, "
                       "2019 to 2025. Dot: this hay. Line through the dot: its likely range.",
        },
        "first": [
            blocks.section("Whom to call", CALL),
            blocks.section("Mind this", blocks.caution("Caution", [
                ("Crude protein counts nitrate nitrogen as if it were protein: "
                "9.6 − 6.25 × 0.112 = 8.9 %. Your winter plan counts 8.9.")])),
        ],
        "rest": [
            blocks.section("Every result", blocks.table(
                ["Tested", "As received", "On dry matter", "Likely, laboratory",
                 "Likely, sampling counted", "Method"],
                [(a, b, c, e, d, f) for a, b, c, d, e, f in tested],
                align="lrrrrl", widths=(1.3, 0.8, 0.9, 1.1, 1.2, 1.6)), heavy=True),
            blocks.section("What follows from it", blocks.table(
                ["Worked out", "On dry matter", "Equation"],
                [("TDN", "59.1 %", "88.9 − 0.78 × ADF, Oklahoma State University"),
                 ("TDN", "58.0 %", "summative"),
                 ("RFV", "89", "from ADF and NDF")],
                align="lrl", widths=(1, 1, 3))),
            blocks.section("How 1,120 came about", blocks.tree([
                blocks.branch("Mean of two ground portions", text="1,094 and 1,146 mg/kg",
                              small="Ion chromatography, run 88, 29 September.", children=[
                    blocks.branch("Weighed", text="0.5013 g and 0.4987 g of ground hay",
                                  small="Balance 2, checked that morning"),
                    blocks.branch("Curve of six standards", text="0 to 20 mg/L")]),
                blocks.branch("Likely range", text="890 to 1,460",
                              small="20 of 64 bales; planning figures, provisional.")]),
                note="Opened for the number the verdict rests on"),
            blocks.section("What each guide says", blocks.table(
                ["Guide and its row", "In short", "Most of the day’s feed"],
                [(blocks.cell("Clemson University", small="1,000 to 1,500 ppm NO3-N"),
                  "At most half of the ration for bred stock. Too close to call.",
                  blocks.cell("50 %", share=0.5)),
                 (blocks.cell("Oklahoma State University", small="† 1,400 to 2,100 ppm NO3-N"),
                  "A quarter for bred stock. Too close to call.",
                  blocks.cell("25 % †", share=0.25))],
                align="lll", widths=(1.3, 1.6, 0.8))),
            blocks.section("Whose hay", blocks.data_list(
                [("Ranch", rancher), ("Lot", "31, Lower bench oats"), ("Bag", "TFK-0117-38"),
                 ("Sampler", "R. Dahl"), ("Laboratory", "Tamarack Fork"),
                 ("Bales", "64 round, 5 × 4 ft")], columns=2)),
        ],
        "foot": {
            "left": f"Test sheet 1, lot 31, {rancher}. Speaks for the 64 bales as they stood on "
                    "22 September 2026.",
            "emergency": "Nitrate emergency: stop the feed, keep the cattle quiet, call 555 0142.",
            "page": "Page {page} of {pages}",
        },
    }  # fmt: skip
