"""Commands of the bag: which tests to order, bag codes, and whether there is enough in it."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from haywright.cli.common import Json, answer, command_errors

if TYPE_CHECKING:
    from haywright.bag.adviser import Advice, Ordered
    from haywright.measure.message import Message

app = typer.Typer(
    no_args_is_help=True,
    help="The sample: which tests to order and why, bag codes, and whether there is enough hay.",
)

Listed = Annotated[str, typer.Option()]


def _words(text: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in text.split(",") if word.strip())


def _weeds(text: str) -> dict[str, float | None]:
    """ "kochia 15, pigweed" -> {"kochia": 15.0, "pigweed": None}."""
    from haywright.measure.parse import parse_number

    found: dict[str, float | None] = {}
    for part in _words(text):
        name, _, share = part.rstrip("% ").rpartition(" ")
        if name and share[:1].isdigit():
            found[name] = parse_number(share)
        else:
            found[part] = None
    return found


@app.command()
@command_errors
def advise(
    crop: Annotated[
        str, typer.Option(help="What the hay is: oats, alfalfa, sorghum-sudan. Several: a,b.")
    ] = "",
    lot: Annotated[
        Path | None,
        typer.Option(help="Or a lot’s form, lots/NAME.toml, for crop and weeds."),
    ] = None,
    bag: Annotated[
        Path | None, typer.Option(help="A bag’s form, bags/CODE.toml: its tests are those ordered.")
    ] = None,
    events: Annotated[
        str,
        typer.Option(
            help="What happened to it, with commas between: drought, hail, frost, heated, mouldy."
        ),
    ] = "",
    weeds: Annotated[
        str, typer.Option(help="Weeds and their share in %: “kochia 15, pigweed”.")
    ] = "",
    animals: Annotated[
        str, typer.Option(help="Who will eat it: bred-cows, ewes, wethers, horses.")
    ] = "",
    form: Annotated[
        str,
        typer.Option(help="cured-hay, standing-crop, cornstalks, baleage, green-chop or silage."),
    ] = "cured-hay",
    purpose: Annotated[str, typer.Option("--for", help="feed or sale.")] = "feed",
    place: Annotated[
        str, typer.Option(help="The country: sulfate-water, molybdenum, high-selenium ...")
    ] = "",
    cp: Annotated[
        float | None, typer.Option(help="Crude protein already known, % of dry matter.")
    ] = None,
    ordered: Annotated[
        str, typer.Option(help="Tests already ordered; says what is still NOT TESTED.")
    ] = "",
    json: Json = False,
) -> None:
    """Which tests this hay needs, and why.

    Example: haywright bag advise --crop oats --events drought,hail --animals bred-cows
    """
    from haywright.bag.adviser import AdviceQuestion, by_test, not_tested
    from haywright.bag.adviser import advise as advice_for

    taken = None
    if bag is not None:
        from haywright.files.bags import read_bag

        taken = read_bag(bag)
    seen = (*_words(events), *(taken.condition if taken else ()))
    known: dict[str, Any] = {"animals": _words(animals), "places": _words(place), "cp": cp}
    if lot is not None:
        from haywright.files.lots import read_lot
        from haywright.measure.errors import Refused

        for name, text in (("--crop", crop), ("--weeds", weeds)):
            if text:
                raise Refused(name, text, key="bag.advise.lot_or_crop")
        question = AdviceQuestion.of_lot(read_lot(lot), condition=seen, **known)
    else:
        question = AdviceQuestion(
            crops=_words(crop),
            events=seen,
            weeds=_weeds(weeds),
            form=form.replace("-", "_"),  # type: ignore[arg-type]
            purpose=purpose,  # type: ignore[arg-type]
            **known,
        )
    advice = advice_for(question)
    tests = by_test(advice)
    cautions = [one for one in advice if not one.tests]
    orders = taken.tests if taken else _words(ordered)
    missing = not_tested(advice, orders) if orders else []
    answer(
        _advice_json(tests, cautions, missing),
        _advice_lines(tests, cautions, missing),
        json=json,
    )


def _advice_json(
    tests: list[Ordered], cautions: list[Advice], missing: list[Ordered]
) -> dict[str, Any]:
    from haywright.bag.tests import lab_test
    from haywright.words import say

    def reason(one: Advice) -> dict[str, str]:
        return {"rule": one.rule, "text": say(one.reason), "source": one.source, "mark": one.mark}

    return {
        "tests": [
            {
                "test": one.test,
                "name": lab_test(one.test).name,
                "need": one.need,
                "send": lab_test(one.test).needs,
                "reasons": [reason(a) for a in one.advice],
            }
            for one in tests
        ],
        "cautions": [reason(one) for one in cautions],
        "not_tested": [one.test for one in missing],
    }


def _advice_lines(
    tests: list[Ordered],
    cautions: list[Advice],
    missing: list[Ordered],
) -> list[str | Message]:
    from haywright.bag.adviser import NEEDS
    from haywright.bag.tests import lab_test
    from haywright.measure.message import message

    lines: list[str | Message] = [
        message("bag.advise.not_tested", test=lab_test(one.test).name) for one in missing
    ]
    for need in NEEDS:
        groups = _with_same_reasons([one for one in tests if one.need == need])
        if not groups:
            continue
        lines += ["", message(f"bag.need.{need}")]
        for names, reasons in groups:
            lines += _bullet(", ".join(names), reasons)
    if cautions:
        lines += ["", message("bag.need.note")]
        lines += [message("bag.advise.bullet", text=_marked(one)) for one in cautions]
    apart = [one for one in tests if lab_test(one.test).needs in ("fresh", "whole")]
    if apart:
        lines.append("")
    lines += [_sent_apart(one.test) for one in apart]
    lines += ["", message("bag.advise.defer")]
    return lines[1:] if lines[0] == "" else lines


def _with_same_reasons(tests: list[Ordered]) -> list[tuple[list[str], tuple[Advice, ...]]]:
    from haywright.bag.tests import lab_test

    groups: dict[tuple[str, ...], tuple[list[str], tuple[Advice, ...]]] = {}
    for one in tests:
        key = tuple(a.rule for a in one.advice)
        groups.setdefault(key, ([], one.advice))[0].append(lab_test(one.test).name)
    return list(groups.values())


def _bullet(names: str, reasons: tuple[Advice, ...]) -> list[str | Message]:
    from haywright.measure.message import message

    lines: list[str | Message] = [message("bag.advise.test", test=names)]
    lines += [message("bag.advise.reason", text=_marked(one)) for one in reasons]
    return lines


def _marked(one: Advice) -> Message:
    from haywright.measure.message import message

    if one.mark == "read":
        return one.reason
    return message("bag.advise.marked", reason=one.reason, mark=message(f"bag.mark.{one.mark}"))


def _sent_apart(test: str) -> Message:
    from haywright.bag.tests import lab_test
    from haywright.measure.message import Amount, message

    one = lab_test(test)
    return message(f"bag.mass.{one.needs}", tests=one.name, grams=Amount(one.grams, "g", digits=0))


@app.command()
@command_errors
def code(
    office: Annotated[str, typer.Argument(help="The office’s three letters.")],
    number: Annotated[int, typer.Argument(help="The bag’s number.")],
    count: Annotated[int, typer.Option(help="How many bags in a row.")] = 1,
    json: Json = False,
) -> None:
    """The code to write on a bag: office, number, two check digits."""
    from haywright.bag.codes import BagCode

    codes = [str(BagCode(office.upper(), n)) for n in range(number, number + max(count, 1))]
    answer({"codes": codes}, codes, json=json)


@app.command()
@command_errors
def check(
    code: Annotated[str, typer.Argument(help="A code as it was read or typed.")],
    json: Json = False,
) -> None:
    """Whether a bag code was read right; if not, what it may be."""
    from haywright.bag.codes import read_code
    from haywright.measure.message import message

    found = read_code(code)
    answer(
        {"code": str(found), "office": found.office, "number": found.number},
        [message("bag.code.whole", code=str(found), office=found.office, number=str(found.number))],
        json=json,
    )


@app.command()
@command_errors
def mass(
    grams: Annotated[float, typer.Argument(help="Hay in the bag, grams without the wrapping.")],
    tests: Annotated[
        str, typer.Option(help="Tests in the order they matter: nitrate,cp,adf,ndf.")
    ] = "dm,cp,adf,ndf",
    dm: Annotated[float, typer.Option(help="Dry matter of the hay, %.")] = 88.0,
    repeats: Annotated[int, typer.Option(help="How often each test is run again.")] = 1,
    received: Annotated[
        float | None, typer.Option(help="What it weighed at the laboratory, grams.")
    ] = None,
    json: Json = False,
) -> None:
    """Whether there is enough hay in the bag for the tests, and whether it lost weight."""
    from haywright.bag.mass import judge_journey, judge_mass, powder_budget
    from haywright.bag.tests import lab_test
    from haywright.measure.message import Amount, message
    from haywright.words import say

    verdict = judge_mass(grams)
    journey = None if received is None else judge_journey(grams, received)
    at_bench = grams if received is None else received
    budget = powder_budget(at_bench, _words(tests), dm=dm, repeats=repeats)
    lines = [verdict.reason, *([journey] if journey else [])]
    lines.append(
        message(
            "bag.mass.powder_enough" if budget.enough else "bag.mass.powder_short",
            have=Amount(budget.have_g, "g", digits=0),
            need=Amount(budget.need_g, "g", digits=0),
            short=tuple(lab_test(t).name for t in budget.short),
        )
    )
    lines += [_sent_apart(t) for need in budget.apart for t in need.tests]
    answer(
        {
            "mass_g": grams,
            "band": verdict.band,
            "powder_g": round(budget.have_g, 1),
            "powder_needed_g": round(budget.need_g, 1),
            "powder_kept_g": budget.kept_g,
            "enough": budget.enough,
            "short": list(budget.short),
            "notes": [say(line) for line in lines],
        },
        lines,
        json=json,
    )
