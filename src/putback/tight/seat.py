"""One idea: a spark plug is tightened by torque or by angle, by its engine maker's value; a guide calls itself one."""

from putback.core.fasten.answer import Answer, NotComputable
from putback.core.fasten.seat import By, Gasket, Seat, tighten_seat
from putback.core.fasten.tool import Ask, Field, Fields, Line, Told, Tool
from putback.core.quantity import TORQUE_UNITS_NM
from putback.tight.words import AUTHORITY


def _plug(given: Fields) -> Told:
    maker = given.torque("maker-torque") if given.has("maker-torque") else None
    if maker is not None and maker.angles_deg:
        raise NotComputable(f"{maker} is torque and angle in one", "use the one that the maker gives for this part")
    told = tighten_seat(
        seat=Seat(given.choice("seat")),
        gasket=Gasket(given.choice("gasket")),
        by=By(given.choice("by")),
        thread=given.text("thread").partition("x")[0],
        head=given.choice("head"),
        maker_torque=maker,
        maker_angle_deg=given.number("maker-angle") if given.has("maker-angle") else None,
        maker_source=given.text("source"),
        lubricated=given.choice("on-it") != "nothing",
        maker_allows_lubricant=given.choice("on-it") == "what the maker asks for",
    )
    single = told.low if told.low == told.high else None
    return Told(
        says=f"{told.says[0].upper()}{told.says[1:]}.",
        answer=Answer(
            value=single,
            range=None if single is not None else (told.low, told.high),
            unit=told.unit,
            source=told.source,
            warnings=told.warnings,
        ),
        lines=_in_nm(told.low, told.high, told.unit),
    )


def _in_nm(low: float, high: float, unit: str) -> tuple[Line, ...]:
    """The same in N·m, beside the source's own unit."""
    factor = TORQUE_UNITS_NM.get(unit, 1.0)
    if factor == 1.0:
        return ()
    both = (f"{one * factor:.3g}" for one in dict.fromkeys((low, high)))
    return (Line(name="the same in N·m", value=" to ".join(both), unit="N·m"),)


PLUG = Tool(
    name="plug",
    title="Spark plug, or a gasketed thread",
    what="By torque or by angle, never both, dry; the maker's value wins over every guide.",
    fields=(
        Field(name="thread", words="thread", like="M14", needed=True),
        Field(name="seat", words="seat", like="gasket", ask=Ask.CHOICE, of=tuple(Seat), needed=True),
        Field(name="gasket", words="gasket", like="new", ask=Ask.CHOICE, of=tuple(Gasket), needed=True),
        Field(name="by", words="tightened by", like="torque", ask=Ask.CHOICE, of=tuple(By), usual="torque"),
        Field(
            name="head",
            words="head of",
            like="aluminium",
            ask=Ask.CHOICE,
            of=("aluminium", "cast iron"),
            usual="aluminium",
        ),
        Field(name="maker-torque", words="the maker's torque", like="18 N·m", ask=Ask.TORQUE),
        Field(
            name="maker-angle",
            words="the maker's angle past finger-tight",
            like="90",
            unit="degrees",
            ask=Ask.NUMBER,
            above=0,
        ),
        Field(name="source", words="the maker's publication and page", like="engine manual, p. 12"),
        Field(
            name="on-it",
            words="on the thread is",
            like="nothing",
            ask=Ask.CHOICE,
            of=("nothing", "oil or paste", "what the maker asks for"),
            usual="nothing",
        ),
    ),
    answer=_plug,
    authority=AUTHORITY,
)
