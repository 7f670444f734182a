"""One idea: a line is held against what is left of the plan, and shown as what it would count, before it counts.

The bay page does the same by the same tables. A chip names an act and the operations of it; whether they may be logged
is for the act's own sheet and gates to say, here and there.
"""

import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeAlias

from putback.narrate.quick import Reading, read_line
from putback.narrate.quick_words import TABLES as WORDS
from putback.narrate.sense.things import singular

Pack: TypeAlias = Mapping[str, Any]

TABLES: Final[Mapping[str, Any]] = {
    **WORDS,
    "most": 4,
    "acts": {
        "off": ["off", "unguard"],
        "on": ["on", "guard"],
        "start": ["on"],
        "tighten": ["tighten", "on"],
        "renew": ["renew", "on"],
        "drain": ["off"],
        "fill": ["fill"],
        "guard": ["guard", "off"],
        "": ["off", "on", "tighten", "guard", "unguard", "renew"],
    },
    "verbs_of": {
        "start": ["start"],
        "tighten": ["tighten"],
        "renew": ["renew"],
        "drain": ["drain"],
        "fill": ["fill"],
        "guard": ["guard"],
    },
    "counted": {
        "off": ["undo", "unguard"],
        "on": ["start", "tighten", "guard"],
        "": ["undo", "start", "tighten", "guard", "unguard"],
    },
    "says": {
        "line": "{verbs} {amount}{thing}{tray}: step {n} of {of}",
        "tray": " → {tray}",
        "count": "{said} said, {planned} in the plan",
        "size": "{said} said, {planned} in the plan",
        "torque": "{said} said, the car file has {planned}",
        "no torque": "{said} said, the car file has no figure",
        "name": "not in its name: {words}",
        "shut": "shut: see what opens it",
        "later": "something else comes first",
        "two": "two different things said of one: say it again",
        "not": "says that it was not done, or only perhaps",
        "other": "is logged by its own button, not by a line",
        "slack": "slackened is not undone: say it when it is off",
        "no unit": "a number without what it is of",
        "long": "too long: one thing in one line",
        "beside": "beside the plan: nothing that is left fits",
        "many": "more than {most} fit: say what it is called",
        "keep": "Keep it as a note",
        "empty": "",
    },
}
"""The words of narration with what a line needs of the plan, as JSON values."""

_SAYS: Final[Mapping[str, str]] = TABLES["says"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Chip:
    """What a line would count.

    `differs` is what it says otherwise than the plan: each is asked by name; `against` adds where the act stands.
    `given` are answers by the key of a line of the act's sheet; `more` what else is logged of each counted operation;
    `open` says that nothing speaks against counting it.
    """

    act: int
    operations: tuple[int, ...]
    text: str
    differs: tuple[str, ...]
    against: tuple[str, ...]
    given: Mapping[str, Any]
    more: Mapping[str, str]
    open: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """A line as it was understood: chips, best first, and what is to be said of it."""

    chips: tuple[Chip, ...]
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """Where a job stands, as a line needs it: what is left of each act, how it stands, what was undone of a joint."""

    left: Sequence[Sequence[int]]
    standing: Sequence[str]
    off: Mapping[str, int]
    suggested: int | None


def words_in(text: str) -> list[str]:
    """The words of a name, as a line has them."""
    low = unicodedata.normalize("NFKC", text).lower()
    return [singular(word) for word in re.findall(r"[0-9]+|[^\W\d_]+", low)]


def names_in(pack: Pack) -> frozenset[str]:
    """The words of all names of a job."""
    texts = [*pack["items"], *(item["name"] for item in pack["items"].values()), *pack["zones"].values()]
    texts += [*pack["guards"], *pack["guards"].values(), *(op.get("fluid", "") for op in pack["operations"])]
    return frozenset(word for text in texts for word in words_in(text))


def understand(pack: Pack, stand: Stand, line: str) -> Understood:
    """What a line would count of what is left of the plan."""
    said = read_line(line, names_in(pack))
    if said.doubts:
        return Understood(chips=(), says=_SAYS[said.doubts[0]])
    if not (said.words or said.soft or said.count or said.size or said.thread or said.kind):
        return Understood(chips=(), says=_SAYS["empty" if not line.strip() else "beside"])
    found = sorted(_fitting(pack, stand, said), key=lambda one: one.key)
    best = [one for one in found if one.key[:4] == found[0].key[:4]]
    chips = tuple(_chip(pack, stand, said, one) for one in best[: TABLES["most"]])
    many = _SAYS["many"].replace("{most}", str(TABLES["most"])) if len(best) > TABLES["most"] else ""
    return Understood(chips=chips, says=many if chips else _SAYS["beside"])


@dataclass(frozen=True, slots=True)
class _Fit:
    """Operations of an act that a line may mean; the smaller its key, the better it fits."""

    act: int
    operations: tuple[Mapping[str, Any], ...]
    counted: tuple[Mapping[str, Any], ...]
    missing: tuple[str, ...]
    key: tuple[int, ...]


def _fitting(pack: Pack, stand: Stand, said: Reading) -> Iterator[_Fit]:
    ops = {op["n"]: op for op in pack["operations"]}
    for place, act in enumerate(pack["acts"]):
        if act["does"] not in TABLES["acts"][said.does]:
            continue
        left = [ops[n] for n in stand.left[place]]
        for chosen, counted in _choices(act, left, said):
            fit = _fit(pack, stand, said, place, chosen, counted)
            if fit is not None:
                yield fit


def _choices(
    act: Mapping[str, Any], left: Sequence[Mapping[str, Any]], said: Reading
) -> Iterator[tuple[Sequence[Mapping[str, Any]], Sequence[Mapping[str, Any]]]]:
    """Operations of one act that may be meant together, with those whose fasteners are spoken of."""
    verbs = TABLES["verbs_of"].get(said.does)
    if not any(verbs is None or op["verb"] in verbs for op in left):
        return
    if said.does != "renew" and not (said.count or said.size or said.thread or said.kind):
        yield left, ()
        return
    groups: dict[str, list[Mapping[str, Any]]] = {}
    counted = TABLES["counted"].get(said.does) or verbs
    for op in left:
        if op["verb"] in counted:
            groups.setdefault(op.get("joint") or op.get("guard") or op.get("item", ""), []).append(op)
    for group in groups.values():
        before = [op for op in left if op["n"] < group[-1]["n"] and op not in group]
        yield (left if before and act["does"] == "on" else group), group


def _fit(
    pack: Pack,
    stand: Stand,
    said: Reading,
    place: int,
    chosen: Sequence[Mapping[str, Any]],
    counted: Sequence[Mapping[str, Any]],
) -> _Fit | None:
    thing = _thing(pack, place, counted)
    name = list(dict.fromkeys(words_in(_called(pack, thing))))
    beside = {word for text in _beside(pack, thing, counted) for word in words_in(text)}
    missing = tuple(word for word in said.words if word not in name and word not in beside)
    hits = [word for word in (*said.words, *said.soft) if word in name or word in beside]
    if len(missing) > len(hits) or (said.words and not hits):
        return None
    wrong = sum(_sizes_differ(op, said) for op in counted[:1])
    unsaid = sum(word not in said.words and word not in said.soft for word in name) if said.words or said.soft else 0
    count = int(bool(said.count and counted and said.count != _planned(stand, counted[0])))
    standing = ["possible", "shut", "later"].index(stand.standing[place])
    rank = 0 if place == stand.suggested else 1 + standing
    nameless = 0 if said.words or said.soft else standing
    key = (len(missing), wrong, nameless, count if not unsaid else 0, unsaid, count, rank, place, chosen[0]["n"])
    return _Fit(place, tuple(chosen), tuple(counted), missing, key)


def _thing(pack: Pack, place: int, counted: Sequence[Mapping[str, Any]]) -> str:
    """The id of what is meant: of what is counted, else of the whole act."""
    op = counted[0] if counted else {}
    return str(op.get("guard") or op.get("item") or pack["acts"][place].get("thing", ""))


def _called(pack: Pack, thing: str) -> str:
    item = pack["items"].get(thing)
    return str(item["name"] if item else pack["guards"].get(thing, thing))


def _beside(pack: Pack, thing: str, counted: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    """What else may be said of a thing: its id, its zone, its fasteners, the item of a guard."""
    op = counted[0] if counted else {}
    item = thing if thing in pack["items"] else op.get("item", "")
    yield from (thing, op.get("thread", ""), item)
    if item in pack["items"]:
        yield pack["items"][item]["name"]
        yield pack["zones"].get(pack["items"][item]["zone"], "")


def _sizes_differ(op: Mapping[str, Any], said: Reading) -> int:
    """In how many of head, thread and kind an operation differs from what was said; what is not known does not."""
    thread = op.get("thread", "")
    kind = {"clip": "clip", "clamp": "clamp"}.get(said.kind or "", "")
    threaded = re.match(r"M[0-9]", thread) is not None
    wrong_kind = said.kind is not None and thread != "" and (kind not in thread if kind else not threaded)
    parts = said.thread.split("x") if said.thread else []
    wrong_thread = thread.split("x")[: len(parts)] != parts
    heads = _heads(op)
    other = said.size.split()[0] not in heads if said.size and heads else thread != "" and not threaded
    wrong_head = said.size is not None and other
    return int(wrong_kind) + int(wrong_thread) + int(wrong_head)


def _heads(op: Mapping[str, Any]) -> list[str]:
    """The sizes of the tools that an operation names: `hex10` is a head of 10 mm."""
    heads = []
    for tool in op.get("tools", ()):
        made = re.fullmatch(r"(hex|socket-|allen|T|E)([0-9]+)", tool)
        if made:
            heads.append(made[1] + made[2] if made[1] in ("T", "E") else made[2] + "mm")
    return heads


def _planned(stand: Stand, op: Mapping[str, Any]) -> int:
    """How many are meant: on the way back as many as came out."""
    joint = op.get("joint", "")
    count = int(op.get("count", 0))
    return count if op["verb"] == "undo" else stand.off.get(joint, count)


def _chip(pack: Pack, stand: Stand, said: Reading, fit: _Fit) -> Chip:
    act = pack["acts"][fit.act]
    differs = tuple(_differs(stand, said, fit))
    standing = stand.standing[fit.act]
    against = differs if standing == "possible" else (*differs, _SAYS[standing])
    given, more = _answers(act, said, fit)
    return Chip(
        act=fit.act,
        operations=tuple(op["n"] for op in fit.operations),
        text=_text(pack, stand, said, fit),
        differs=differs,
        against=against,
        given=given,
        more=more,
        open=not against,
    )


def _text(pack: Pack, stand: Stand, said: Reading, fit: _Fit) -> str:
    op = (fit.counted or fit.operations)[0]
    shown = fit.operations if len(fit.operations) > len(fit.counted) else fit.counted
    count = said.count or _planned(stand, op) if fit.counted else 0
    amount = f"{count} × {op['thread']}, " if count and "thread" in op else f"{count} × " if count else ""
    tray = said.tray or next((one["stow"] for one in fit.operations if "stow" in one), "")
    facts = {
        "verbs": ", ".join(dict.fromkeys(one["verb"] for one in shown)),
        "amount": amount,
        "thing": _called(pack, _thing(pack, fit.act, fit.counted)),
        "tray": _SAYS["tray"].replace("{tray}", tray) if tray else "",
        "n": str(op["n"]),
        "of": str(pack["operations"][-1]["n"]),
    }
    return re.sub(r"\{(\w+)\}", lambda gap: facts[gap[1]], _SAYS["line"])


def _differs(stand: Stand, said: Reading, fit: _Fit) -> Iterator[str]:
    """What does not fit: it is never taken silently."""
    if fit.missing:
        yield _SAYS["name"].replace("{words}", ", ".join(fit.missing))
    op = fit.counted[0] if fit.counted else {}
    if said.count and op and said.count != _planned(stand, op):
        yield _told("count", str(said.count), str(_planned(stand, op)))
    if op and _sizes_differ(op, said):
        known = " · ".join([*([op["thread"]] if "thread" in op else []), *_heads(op)])
        yield _told("size", " · ".join(filter(None, (said.thread, said.size, said.kind))), known)
    if said.torque and not any(_same_torque(said, one) for one in fit.operations):
        known = next((one["shown"] for one in fit.operations if "shown" in one), "")
        yield _told("torque" if known else "no torque", " ".join(said.torque), known)


def _told(what: str, said: str, planned: str) -> str:
    return _SAYS[what].replace("{said}", said).replace("{planned}", planned)


def _same_torque(said: Reading, op: Mapping[str, Any]) -> bool:
    """Whether a torque that was said is the one of the car file, to half a percent for another unit."""
    if said.torque is None or "torque" not in op:
        return False
    units, known = TABLES["newton_metres"], op["torque"]
    if said.torque[1] == known["unit"]:
        return _decimal(said.torque[0]) == float(known["value"])
    wanted = float(units.get(known["unit"], 0) * known["value"])
    return abs(_decimal(said.torque[0]) * float(units[said.torque[1]]) - wanted) <= wanted / 200


def _decimal(text: str) -> float:
    top, _, bottom = text.partition("/")
    return float(top) / float(bottom or 1)


def _answers(act: Mapping[str, Any], said: Reading, fit: _Fit) -> tuple[dict[str, Any], dict[str, str]]:
    """What the line answers of the act's sheet, and what it says beside."""
    counted = {op["n"] for op in fit.counted or fit.operations}
    own = {at for at, (_, body) in enumerate(act["logs"]) if body.get("planned") in counted}
    same = any(_same_torque(said, op) for op in fit.operations)
    given: dict[str, Any] = {}
    more = {name: text for name, text in (("tool", said.tool), ("stow", said.tray)) if text}
    for ask in act["asks"]:
        if own.isdisjoint(ask.get("to", ())):
            continue
        value, field = _answer(ask, said, same=same), ask.get("field")
        if value is not None:
            given[ask["key"]] = value
            more.pop(field, "")
    return given, more


def _answer(ask: Mapping[str, Any], said: Reading, *, same: bool) -> Any:
    field, how, gate = ask.get("field"), ask["how"], (ask.get("hold") or {}).get("gate")
    if how == "count":
        return said.count
    if how == "tick" and gate == "torque_not_the_sources":
        return 1 if same else None
    if how == "tick" and gate == "one_time_part_back_in":
        return 1 if said.new or said.does == "renew" else None
    if field == "torque" and said.torque and said.torque[1] == "N·m" and "/" not in said.torque[0]:
        return said.torque[0]
    return {"tool": said.tool, "stow": said.tray}.get(field or "")
