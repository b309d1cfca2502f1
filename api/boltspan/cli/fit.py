"""``boltspan fit``: the fit sheet of a frame and a shock, from the database of this machine."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from boltspan.bootstrap import open_storage, prepare
from boltspan.cli.bench import number, pairs, read_json
from boltspan.cli.tables import cell, table, wrapped
from boltspan.config import Config
from boltspan.domain import jsontext
from boltspan.domain.errors import InvalidInput
from boltspan.domain.fitsheet.question import FitQuestion
from boltspan.domain.fitsheet.work_order import OF_THE_WHOLE, only_end, steps, without_answer
from boltspan.domain.questions import question_from
from boltspan.services.fitsheets import fit_sheets
from boltspan.services.lookup import name_index

_PLAIN: Final = ("frame", "make", "model", "year", "shock_up")
_SHOCK_WORDS: Final = {"bore": "eyelet_bore_mm", "width": "eyelet_width_mm", "outer": "eyelet_outer_mm"}
_OLD_WORDS: Final = {"bolt": "bolt_mm", "width": "width_mm", "bore": "eyelet_bore_mm", "eyelet": "eyelet_width_mm"}
_MOST_SOURCES: Final = 4
_PART_COLUMNS: Final = ("count", "part", "outer", "inner", "length", "beware")


def register(commands: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the command to the parser."""
    parser = commands.add_parser(
        "fit",
        help="say what to do at both ends, for a frame and a shock",
        description="The fit sheet. Lengths are in mm. What has no option of its own goes into the request, which has "
        "the form of POST /v1/fit-sheets.",
    )
    parser.add_argument("request", nargs="?", metavar="FILE", help="a request as JSON; - reads standard input")
    parser.add_argument("--frame", metavar="ID", help="id of a frame")
    parser.add_argument("--make", help="slug or name")
    parser.add_argument("--model", help="slug or name")
    parser.add_argument("--year", type=number, metavar="YEAR")
    parser.add_argument("--variant", nargs=2, metavar=("KIND", "VALUE"), help="such as frame_size S")
    parser.add_argument("--shock", metavar="ID", help="id of the shock that goes in")
    parser.add_argument("--eye-to-eye-mm", type=number, metavar="N", help="length of the shock that goes in")
    parser.add_argument("--stroke-mm", type=number, metavar="N", help="its stroke")
    for end in ("body", "shaft", "both"):
        which = "both its ends, when they are alike" if end == "both" else f"its end at the {end}"
        parser.add_argument(f"--{end}", nargs="+", metavar="WORD",
                            help=f"{which}: eyelet, trunnion, bearing_eyelet or open_eyelet, then bore=N width=N "
                            "outer=N where they are known")  # fmt: skip
    parser.add_argument("--shock-up", choices=("body", "shaft"), help="the shock's end at the frame's first end")
    parser.add_argument("--same-shock", action="store_true", help="it is the shock that came out, after a service")
    parser.add_argument("--old", nargs="+", action="append", metavar="WORD", default=[],
                        help="hardware that was in an end: the end, sound, worn or stays, then bolt=N width=N, "
                        "and bore=N eyelet=N for bore and width of the eyelet it is for; may be repeated")  # fmt: skip
    parser.add_argument("--at-hand", nargs="+", action="extend", metavar="LABEL", help='sizes at hand, as "M8 x 30"')
    parser.add_argument("--json", action="store_true", help="print the answer of POST /v1/fit-sheets")
    parser.set_defaults(run=_run)


def _run(args: argparse.Namespace) -> int:
    question = question_from(FitQuestion, _asked(args))
    config = Config.from_environment()
    storage = open_storage(config)
    prepare(config, storage)
    with storage.reading() as uow:
        answer = fit_sheets(uow, name_index(uow), question)
    if args.json:
        print(jsontext.dumps(answer, indent=2))
    else:
        for line in _told(answer):
            print(line)
    return 0


def _asked(args: argparse.Namespace) -> dict[str, Any]:
    """Return the question: the request, then the options, which go before it."""
    found = read_json(args.request)
    found |= {name: getattr(args, name) for name in _PLAIN if getattr(args, name) is not None}
    shock = {"id": args.shock, "eye_to_eye_mm": args.eye_to_eye_mm, "stroke_mm": args.stroke_mm}
    shock |= {end: _words(given, _SHOCK_WORDS, "mount") for end in ("body", "shaft", "both")
              if (given := getattr(args, end)) is not None}  # fmt: skip
    stated = {name: value for name, value in shock.items() if value is not None}
    if stated:
        found["old_shock" if args.same_shock else "new_shock"] = stated
    if args.variant is not None:
        found["variant"] = dict(zip(("kind", "value"), args.variant, strict=True))
    if args.same_shock:
        found["same_shock"] = True
    for end, *words in args.old:
        found.setdefault("old_hardware", {})[end] = _old(end, words)
    if args.at_hand:
        found["at_hand"] = [{"label": label} for label in args.at_hand]
    return found


def _words(given: Sequence[str], names: Mapping[str, str], first: str) -> dict[str, Any]:
    word, *rest = given
    return {first: word} | {names.get(name, name): value for name, value in pairs(rest).items()}


def _old(end: str, words: Sequence[str]) -> dict[str, Any]:
    state = words[0] if words else ""
    if state not in ("sound", "worn", "stays"):
        raise InvalidInput.one(f"/old_hardware/{end}", "state_missing", "how is the old hardware?", got=state,
                               accepted="sound, worn, or stays (in the old shock), then bolt=N width=N")  # fmt: skip
    found = _words(words, _OLD_WORDS, "state")
    del found["state"]
    return found | {"worn": state == "worn"} | ({"stays_in_old_shock": True} if state == "stays" else {})


def _told(answer: Mapping[str, Any]) -> Iterator[str]:
    """Yield the answer for people."""
    if answer.get("demo"):
        yield "Invented records, for trying things out: no such bikes exist."
    if answer["outcome"] == "unknown":
        yield "No frame of this name and year is known. Measure it, or ask its maker."
    if "ask" in answer:
        yield from wrapped(answer["ask"], first="Ask: ")
    yield from table([[_name(frame), frame["id"]] for frame in answer.get("frames", ())])
    for sheet in answer["sheets"]:
        yield ""
        yield from _sheet(sheet, answer["texts"])
    if answer["sheets"]:
        yield ""
        for text in answer["texts"]["fit_cautions"].values():
            yield from wrapped(text, first="Beware: ")
    release = answer["dataset"].get("release")
    yield f"From event {answer['dataset']['event']} of the dataset" + (f", release {release}." if release else ".")


def _name(frame: Mapping[str, Any]) -> str:
    if "make" not in frame:
        return "A frame as written out in the question"
    years = frame["years"]
    span = f"{years['from']} to {years['to']}" if "to" in years else f"from {years['from']}"
    told = f", {frame['qualifier']['kind'].replace('_', ' ')}" if "qualifier" in frame else ""
    return f"{frame['make']['name']} {frame['model']['name']}, {span}{told}"


def _sheet(sheet: Mapping[str, Any], texts: Mapping[str, Mapping[str, str]]) -> Iterator[str]:
    frame, size = sheet["frame"], sheet["shock_size"]
    yield f"{_name(frame)}  {frame.get('id', '')}".rstrip()
    sizes = [f"{side} {size[side]['label']}" for side in ("frame", "shock") if side in size]
    yield f"Shock size: {', '.join([*sizes, size['outcome'].replace('_', ' ')])}"
    for reason in size["reasons"]:
        yield from wrapped(texts["fit_reasons"][reason], "  ")
    for question in sheet["questions"]:
        yield from wrapped(question["text"], first="Ask: ")
    for entry in sheet["not_read"]:
        yield from wrapped(f"{entry['label']!r} was not read ({entry['reason']}): {entry['advice']}")
    for way in sheet["ways"]:
        yield ""
        if "shock_up" in way:
            where = next(iter(way["ends"]))
            goes = "" if way["goes_in"] else " (does not go in)"
            yield f"With the shock's {way['shock_up']} at the {where} end{goes}:"
        rows = [[end, each["verdict"], each.get("size", {}).get("label"), each["advice"], each["standing"]]
                for end, each in way["ends"].items()]  # fmt: skip
        yield from table(rows, ("end", "verdict", "size", "advice", "standing"))
        for end, each in way["ends"].items():
            yield ""
            yield from _end(end, each, texts)
            yield from _chart(frame["ends"][end])
        if way["goes_in"]:
            yield from _work(way["ends"], texts)
    if sheet["assumed"]:
        yield ""
        named = ", ".join(f"{each['name']} {cell(each['value'])}" for each in sheet["assumed"])
        yield from wrapped(named, first="Assumed, without a source: ")


def _end(name: str, end: Mapping[str, Any], texts: Mapping[str, Mapping[str, str]]) -> Iterator[str]:
    yield from wrapped(texts["fit_verdicts"][end["verdict"]], first=f"{name}: ")
    for reason in end["reasons"]:
        yield from wrapped(texts["fit_reasons"][reason], "  ")
    for reading in end["readings"]:
        yield from _reading(reading, texts)
    if "never_over_mm" in end and end["verdict"] not in ("incompatible", "disputed"):
        yield f"  Never wider than {cell(end['never_over_mm'])}."
    yield from _at_hand(end, texts)
    if "kit" in end:
        yield from _kit(end["kit"], texts)
    if "press_tools" in end:
        tools = end["press_tools"]
        chosen = [f"{kind} with {tools[kind]}" for kind in ("push", "catch") if kind in tools]
        yield from (f"  Press: {', '.join(chosen)}." for _ in chosen[:1])
        for missing in tools.get("missing", ()):
            yield from wrapped(missing, "  ")


def _chart(chart: Mapping[str, Any]) -> Iterator[str]:
    """Yield what the chart rests on: how sure it is, what its sources contradict each other about, and the sources."""
    if "confidence" in chart:
        yield f"  Confidence of the chart: {cell(chart['confidence'])}."
    if chart["standing"] == "disputed" and chart.get("candidates"):
        said = "; ".join(each["value"]["label"] for each in chart["candidates"])
        yield from wrapped(f"{said}. None of them is settled.", first="  In dispute: ")
    sources = [each["source"] for each in chart.get("sources", ())]
    told = [f"{each['kind'].replace('_', ' ')} of {each['seen_on']}" for each in sources[:_MOST_SOURCES]]
    more = len(sources) - len(told)
    if told:
        yield from wrapped("; ".join(told) + (f"; and {more} more." if more else "."), first="  Sources: ")


def _work(ends: Mapping[str, Mapping[str, Any]], texts: Mapping[str, Mapping[str, str]]) -> Iterator[str]:
    """Yield the order of work at both ends, a step that both share once, and what no kit holds."""
    stages = [(title, steps(ends, key)) for title, key in (("Taking out", "taking_out"), ("Fitting", "fitting"))]
    if not any(listed for _, listed in stages):
        return
    yield ""
    for end in without_answer(ends):
        yield from wrapped(f"Nothing can be said yet of the {end} end: do not fit the shock before that is cleared.")
    for title, listed in stages:
        alone = only_end(listed)
        if listed:
            yield f"{title}{f', {alone} end only' if alone else ''}:"
        for place, step in enumerate(listed, 1):
            at = "" if alone or step.code in OF_THE_WHOLE else f"{step.end} end: " if step.end else "both ends: "
            yield from wrapped(at + texts["fit_steps"][step.code], first=f"{place:>3}. ")
    yield "Not in the kit:"
    for code in dict.fromkeys(code for each in ends.values() for code in each["not_in_kit"]):
        yield from wrapped(texts["not_in_kit"][code], first="  - ")


def _reading(reading: Mapping[str, Any], texts: Mapping[str, Mapping[str, str]]) -> Iterator[str]:
    said = f"{cell(reading['choice_mm'])}" if "choice_mm" in reading else "no size for sure"
    mean, unsure = cell(reading["mean_mm"]), cell(reading["uncertainty_mm"])
    yield f"  Reading of {reading['feature']}: {mean} -/+ {unsure}, {said}."
    if "mistake" in reading:
        yield from wrapped(reading["mistake"]["advice"], "    ")
    if reading.get("agrees") is False:
        yield from wrapped(f"The chart says {cell(reading['chart_mm'])}. {texts['fit_trust'][reading['why']]}", "    ")


def _at_hand(end: Mapping[str, Any], texts: Mapping[str, Mapping[str, str]]) -> Iterator[str]:
    rows = [["take" if each["choice"] else "or", each["label"], each.get("article"), each["undersize_mm"],
             texts["at_hand"][each["how"]]] for each in end["substitutes"]]  # fmt: skip
    rows += [["NEVER", each["label"], each.get("article"), None, texts["never_use"][each["why"]]]
             for each in end["never"]]  # fmt: skip
    if rows:
        yield "  At hand:"
        yield from table(rows, ("what", "size", "article", "under", "why"), "    ")
        yield from wrapped(end.get("why", ""), "    ")


def _kit(kit: Mapping[str, Any], texts: Mapping[str, Mapping[str, str]]) -> Iterator[str]:
    yield f"  The kit, {cell(kit['width_mm'])} wide:"
    rows = [
        [each["count"], each["part"], each.get("outer_mm"), each.get("inner_mm"), each.get("length_mm"),
         " ".join(texts["kit_part_notes"][note] for note in each["notes"])]
        for each in kit["parts"]
    ]  # fmt: skip
    yield from table(rows, _PART_COLUMNS, "    ")
