"""One idea: what a torque does to bolt and hole is told as a band, with what makes it unknowable asked beforehand."""

from dataclasses import replace

from putback.core.fasten.answer import Answer, NotComputable
from putback.core.fasten.clamp import Doubt, PreloadBand, refuse_doubts, share_of_proof
from putback.core.fasten.hole import Bolt, Hole, HoleDoubt, Metal, strip_margin
from putback.core.fasten.limits import limits
from putback.core.fasten.lubricant import SURFACES, lubricant_effect, preload_as_found, surface
from putback.core.fasten.strength import proof_load
from putback.core.fasten.tool import Ask, Field, Fields, Line, Told, Tool
from putback.core.quantity import Torque
from putback.tight.words import AUTHORITY, THREAD_FIELD, TORQUE_FIELD, kilonewtons, shown, thread

_SURFACE_NAMES = tuple(one.name for one in SURFACES)
_DOUBTS = {"yield": Doubt.YIELD, "locking": Doubt.PREVAILING, "damaged": Doubt.DAMAGED}
_SURFACE = Field(
    name="surface",
    words="what is on thread and head face",
    like="dry steel",
    ask=Ask.CHOICE,
    of=_SURFACE_NAMES,
    needed=True,
)
_MARK = Field(name="mark", words="class or grade on the head", like="8.8")
_KIND = Field(
    name="kind",
    words="the fastener is",
    like="plain",
    ask=Ask.CHOICE,
    of=("plain", *_DOUBTS),
    usual="plain",
)


def _surface(given: Fields, name: str) -> str:
    """The state of a thread; what is not in the list cannot be told of, and is answered so."""
    return given.completed(name)


def _preload(given: Fields) -> Told:
    torque, size, kind = given.torque("torque"), thread(given), given.choice("kind")
    if size is None:
        return Told(says="", answer=Answer(refused="unread", source="-"))
    found = _band(torque, size.diameter_mm, _surface(given, "surface"), kind)
    low, high = (kilonewtons(one) for one in found.band_n)
    lines = [
        Line(name="preload", value=kilonewtons(found.nominal_n), unit="kN", band=(low, high), source=found.source)
    ]
    warnings = list(found.warnings)
    if given.has("mark"):
        bears = proof_load(designation=size, name=given.text("mark"))
        share, told = share_of_proof(preload_band=found, proof_load_n=bears.proof_n, breaking_load_n=bears.ultimate_n)
        warnings += told
        lines += [
            Line(
                name=f"proof load, {bears.strength.name}",
                value=kilonewtons(bears.proof_n),
                unit="kN",
                source=bears.source,
                mark=True,
            ),
            Line(
                name="share of it",
                value=found.nominal_n / bears.proof_n * 100,
                unit="%",
                band=(share[0] * 100, share[1] * 100),
            ),
        ]
    else:
        warnings.append("without class or grade nobody can say what this bolt bears: read the mark on its head")
    return Told(
        says=f"{shown(torque)} on {size.name} clamps with {low:.3g} to {high:.3g} kN.",
        answer=Answer(
            value=kilonewtons(found.nominal_n),
            unit="kN",
            band=(low, high),
            source=found.source,
            warnings=tuple(warnings),
        ),
        lines=tuple(lines),
    )


def _band(torque: Torque, diameter_mm: float, on_it: str, kind: str) -> PreloadBand:
    """The preload as a band; none where the torque is only the first step before an angle."""
    doubts = {_DOUBTS[kind]} if kind in _DOUBTS else set()
    refuse_doubts(doubts | {Doubt.YIELD} if torque.angles_deg else doubts)
    return preload_as_found(torque_nm=torque.torque_nm, diameter_mm=diameter_mm, found=surface(on_it))


PRELOAD = Tool(
    name="preload",
    title="What a torque clamps",
    what="The preload behind a torque, as a band, beside what the bolt bears.",
    fields=(THREAD_FIELD, TORQUE_FIELD, _SURFACE, _MARK, _KIND),
    answer=_preload,
    authority=AUTHORITY,
)


def _lubricant(given: Fields) -> Told:
    published, found = surface(_surface(given, "for")), surface(_surface(given, "surface"))
    effect = lubricant_effect(published_for=published, found=found)
    low, high = effect.band_percent
    changes = f"the preload changes by {low:+.0f} to {high:+.0f} %"
    return Told(
        says=f"The same torque on {found.name} instead of {published.name}: {changes}.",
        answer=Answer(
            value=effect.middle_percent, unit="%", band=(low, high), source=effect.source, warnings=effect.warnings
        ),
        lines=(Line(name="change of preload", value=effect.middle_percent, unit="%", band=(low, high)),),
    )


LUBRICANT = Tool(
    name="lubricant",
    title="Oil or paste on the thread",
    what="What a lubricant does to the preload when the published torque is kept. No reduced torque is told.",
    fields=(
        Field(
            name="for",
            words="the published torque is for",
            like="dry steel",
            ask=Ask.CHOICE,
            of=_SURFACE_NAMES,
            needed=True,
        ),
        replace(_SURFACE, like="anti-seize"),
    ),
    answer=_lubricant,
    authority=AUTHORITY,
)

_METALS = {one.value: one for one in Metal}
_HOLES = {"plain": None, **{one.name.lower().replace("_", " "): one for one in HoleDoubt}}


def _strip(given: Fields) -> Told:
    torque, size = given.torque("torque"), thread(given)
    metal, hole = given.choice("metal"), given.choice("hole")
    tensile = given.number("strength") if given.has("strength") else None
    full_mm = given.number("engagement") - given.number("incomplete") if given.has("engagement") else None
    if size is None or given.faults:
        return Told(says="", answer=Answer(refused="unread", source="-"))
    if full_mm is not None and full_mm <= 0:
        raise NotComputable("no full thread is left in mesh", "check that this length belongs here")
    found = _band(torque, size.diameter_mm, _surface(given, "surface"), given.choice("kind"))
    doubt = _HOLES[hole]
    told = strip_margin(
        hole=Hole(
            limits=limits(size.name),
            metal=_METALS[metal],
            tensile_mpa=tensile,
            tensile_source=given.text("strength-source"),
            full_mm=full_mm,
            doubts=frozenset() if doubt is None else frozenset({doubt}),
        ),
        preload_band=found,
        bolt=_bolt(given),
    )
    low, high = told.margin
    return Told(
        says=f"Even at the most preload the thread of the hole strips only at {low:.3g} times that load."
        if low >= 1
        else f"At the most preload the thread of the hole strips: it bears {low:.3g} times that load.",
        answer=Answer(value=low, unit="x", band=(low, high), source=told.source, warnings=told.warnings),
        lines=(
            Line(name="full thread in mesh", value=told.full_mm, unit="mm"),
            Line(name="shear area at minimum material", value=told.area_mm2, unit="mm2"),
            Line(name="strip load of the hole", value=kilonewtons(told.hole_strips_n), unit="kN", mark=True),
            Line(
                name="preload",
                value=kilonewtons(found.nominal_n),
                unit="kN",
                band=(kilonewtons(found.low_n), kilonewtons(found.high_n)),
                source=found.source,
            ),
            Line(name="margin over the preload", value=low, unit="x", band=told.margin),
        ),
    )


def _bolt(given: Fields) -> Bolt | None:
    size = thread(given)
    if size is None or not given.has("mark"):
        return None
    bears = proof_load(designation=size, name=given.text("mark"))
    return Bolt(tensile_mpa=bears.strength.tensile_mpa, stress_area_mm2=bears.stress_area_mm2, source=bears.source)


STRIP = Tool(
    name="strip",
    title="Will the hole strip",
    what="How far the thread of a tapped hole is from stripping, at the most preload that a torque may give.",
    fields=(
        THREAD_FIELD,
        TORQUE_FIELD,
        Field(name="metal", words="the hole is in", like="aluminium", ask=Ask.CHOICE, of=tuple(_METALS), needed=True),
        _SURFACE,
        Field(
            name="strength",
            words="least tensile strength of this alloy",
            like="240",
            unit="MPa",
            ask=Ask.NUMBER,
            above=0,
        ),
        Field(name="strength-source", words="where that strength is from", like="drawing 12, EN AC-46000"),
        Field(name="engagement", words="thread in mesh", like="16", unit="mm", ask=Ask.NUMBER, above=0),
        Field(
            name="incomplete",
            words="of it chamfer, lead-in and point",
            like="2.5",
            unit="mm",
            ask=Ask.NUMBER,
            least=0,
            usual="0",
        ),
        _MARK,
        Field(name="hole", words="the hole is", like="plain", ask=Ask.CHOICE, of=tuple(_HOLES), usual="plain"),
        _KIND,
    ),
    answer=_strip,
    authority=AUTHORITY,
)
