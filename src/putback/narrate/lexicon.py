"""One idea: the words of the trade stand in tables that a person can read and add to.

British, American and Australian words side by side. A verb has a sense; what it means in a sentence also depends on
the particle after it ("take off", "put in") and on what it is done to.
"""

from enum import Enum, auto


def words_of(text: str) -> frozenset[str]:
    """The words of a text, as a set."""
    return frozenset(text.split())


class Sense(Enum):
    """What a verb says by itself."""

    OFF = auto()
    LOOSEN = auto()
    UNPLUG = auto()
    ON = auto()
    START = auto()
    TIGHTEN = auto()
    PLUG = auto()
    MOVE = auto()
    ASIDE = auto()
    COVER = auto()
    LAY = auto()
    RAISE = auto()
    LOWER = auto()
    DRAIN = auto()
    FILL = auto()
    BLEED = auto()
    SCAN = auto()
    READ = auto()
    WAIT = auto()
    PROVE = auto()
    MEASURE = auto()
    CHECK = auto()
    INSPECT = auto()
    CLEAN = auto()
    MARK = auto()
    CLEAR = auto()
    RENEW = auto()
    LEAVE = auto()
    SWITCH = auto()


_WORDS: dict[Sense, str] = {
    Sense.OFF: "remove removes removed removing undo undoes undid undone undoing unbolt unbolted unbolts unscrew "
    "unscrewed unscrews unclip unclipped unclips detach detached withdraw withdrawn extract extracted prise prised "
    "pry pried unfasten unfastened unhook unhooked unhitch unwind unthread dismount unwound strip stripped unlatch "
    "unlatched unsnap unsnapped unseat zip zipped buzz buzzed unspin release released whip whipped yank yanked peel "
    "peeled",
    Sense.LOOSEN: "loosen loosened loosens loosening slacken slackened slackens slack slacked crack cracked "
    "ease eased",
    Sense.UNPLUG: "unplug unplugged unplugs unplugging disconnect disconnected disconnects disconnecting uncouple "
    "uncoupled isolate isolated depower",
    Sense.ON: "fit fitted fits refit refitted refits install installed installs installing reinstall reinstalled "
    "reattach reattached attach attached mount mounted remount seat seated reseat rebolt bolt bolted insert inserted "
    "inserts clip clipped reclip press presses pressed locate located relocate offer offered hang hung replace-back "
    "place placed places route routed routes slot slots slotted restore restored re-fit re-install",
    Sense.START: "start started starts thread threaded",
    Sense.TIGHTEN: "tighten tightened tightens tightening retighten torque torqued torques torquing snug snugged nip "
    "nipped cinch cinched crank cranked pinch-up clamp clamped tension tensioned secure secured",
    Sense.PLUG: "plug plugged plugs plugging reconnect reconnected reconnects reconnecting connect connected connects "
    "click clicks clicked hook hooked hooks replug couple coupled",
    Sense.MOVE: "take takes took taken taking pull pulls pulled pulling pop pops popped popping work works worked "
    "wiggle wiggled slide slides slid sliding lift lifts lifted lifting get gets got getting drop drops dropped put "
    "puts putting set sets setting sit sits sat push pushes pushed pushing shove shoves shoved "
    "go goes going gone went "
    "come comes came coming knock knocked tip tipped slip slips slipped let bring brings brought feed feeds fed draw "
    "drew drawn throw grab hit run runs ran spin spins spun screw screws-in screwed twist twists twisted turn turns "
    "turned squeeze pinch pinched tap tapped rock rocked fish fished wrestle wrestled break breaks "
    "broke want wants fall falls fell give gave do does did back backs backed wind winds drive drove lower-in move "
    "moved moves rotate rotated ease-out unwinds stick stuck sticks swap swapped snap snaps snapped chuck chucked "
    "toss tossed",
    Sense.ASIDE: "tuck tucked tucks swing swings swung fold folds folded tie ties tied zip-tie",
    Sense.COVER: "cover covered covers stuff stuffed cap capped tape taped bung bunged mask masked block "
    "blocked close "
    "closed wrap wrapped seal sealed",
    Sense.LAY: "lay lays laid laying drape draped",
    Sense.RAISE: "raise raised raises jack jacked hoist hoisted",
    Sense.LOWER: "lower lowered lowers lowering",
    Sense.DRAIN: "drain drained drains draining",
    Sense.FILL: "fill filled fills filling refill refilled top topped",
    Sense.BLEED: "bleed bled bleeds bleeding burp burped",
    Sense.SCAN: "scan scanned scans scanning",
    Sense.READ: "read reads",
    Sense.WAIT: "wait waited waits waiting",
    Sense.PROVE: "verify verified confirm confirmed prove proved proven test tested",
    Sense.MEASURE: "measure measured measures measuring",
    Sense.CHECK: "check checked checks checking",
    Sense.INSPECT: "inspect inspected inspects examine examined look looked looks looking eyeball",
    Sense.CLEAN: "clean cleaned cleans cleaning wipe wiped wipes scrape scraped scrub brush brushed rinse rinsed blow "
    "blown blew degrease degreased vacuum vacuumed "
    "hoover hoovered sweep swept",
    Sense.MARK: "mark marked marks marking scribe scribed",
    Sense.CLEAR: "clear cleared clears clearing erase erased",
    Sense.RENEW: "renew renewed renews replace replaced replaces replacing",
    Sense.LEAVE: "leave leaves left leaving",
    Sense.SWITCH: "switch switched",
}
VERBS: dict[str, Sense] = {word: sense for sense, words in _WORDS.items() for word in words.split()}

OTHER_VERBS = words_of(
    "hold holds held holding see sees saw make makes made lose loses lost hear hears heard find finds found notice "
    "touch touched save saved saves stored store know knows need needs want wants think say says said tell show shows "
    "live lives hide hides hidden watch watching use used using reach reaches feel feels try tried stay stays stayed "
    "look-like happen break-free send kill kills follow remember forget catch catches split splits belong have has "
    "had having let's does doing done packed wash start-up command commanded reveal reveals expose exposes allow "
    "write making supported support routing come-with compare compared join sure charge charged "
    "adjust dripping matters leak leaks-down leaking swollen "
    "crack-open wear worn expect begin began begins prepare prepared wear locked unlocked opened open hides buried"
)
OFF_WORDS = words_of("off out away free loose clear apart")
ON_WORDS = words_of("on in back home into onto together up")
ASIDE_WORDS = words_of("aside sideways")
PARTICLES = OFF_WORDS | ON_WORDS | ASIDE_WORDS | {"down", "over", "through", "forward", "forwards"}

FASTENERS: dict[str, str] = {
    **dict.fromkeys(words_of("bolt bolts stud studs capscrew capscrews"), "bolt"),
    **dict.fromkeys(words_of("nut nuts locknut locknuts"), "nut"),
    **dict.fromkeys(words_of("screw screws"), "screw"),
    **dict.fromkeys(
        words_of("clip clips pin pins tab tabs fastener fasteners rivet rivets peg pegs tang tangs popper poppers"),
        "clip",
    ),
    **dict.fromkeys(words_of("clamp clamps jubilee"), "clamp"),
}
HOSE_HEADS = words_of("hose hoses tube tubes pipe pipes line lines duct ducts ducting")
CONNECTOR_HEADS = words_of(
    "connector connectors plug plugs sensor sensors wire wires wiring injector injectors switch switches electrics "
    "electrical socket-plug coil coils solenoid solenoids lead leads"
)
PLUGGED_PARTS = words_of("sensor sensors switch switches injector injectors coil coils")
BATTERY = words_of("battery negative positive 12")
HIGH_VOLTAGE = words_of("service disconnect handle orange yellow traction hv")
FLUIDS = words_of("coolant oil fluid antifreeze water fuel refrigerant gas")
CAR = words_of("vehicle car van truck front rear nose back wheels lift ramp stands hoist ute")
HARD_GUARDS = words_of("cap caps mat mats lid bung bungs foam sponge sheet sheets film paper")
"""Words that also name parts of the car: they guard only where nothing of that name came off."""
GUARDS = words_of(
    "rag rags cap caps tape towel towels mat mats bung bungs cloth cloths tee tees cover-sheet sheet sheets blanket "
    "blankets cardboard foam plugs-blank paper bag bags film cling lid cling-film sponge cork glove"
)
MODULES = words_of("module modules unit units system systems ecu ecus codes code computer computers scanner faults")

DETERMINERS = words_of(
    "the a an this that these those my your our its his her their each every all any some both another"
)
PRONOUNS = words_of("it them they those these that this her him she he one ones lot both all")
SUBJECTS = words_of(
    "i you we they he she i'll you'll we'll i'm we're you're i've we've you've i'd you'd let's "
    "he's they're she's they've they'd"
)
PREPOSITIONS = words_of(
    "of on in at to from with by for over under behind below beneath beside above around round across along through "
    "into onto against near between inside outside towards toward past up down off out per about until till before "
    "after as like without underneath beyond"
)
JOINS = words_of(
    "and then so but or because while once when if until till before after where which since "
    "though that's it's there's here's what's where's how's"
)
FILLERS = words_of(
    "okay ok right well now just uh um er ah like simply carefully gently gonna going go ahead "
    "then first next finally "
    "also too again please really here there so alright actually basically straight nice nicely slowly quickly easily "
    "only still already always start-by crack"
)
AUXILIARIES = words_of(
    "is are was were be been being am has have had having will would can could should shall may "
    "might must do does did "
    "don't doesn't didn't won't can't couldn't isn't aren't need needs to want wants gotta got get gets"
)
NEGATIONS = words_of("don't not never no without doesn't didn't won't can't needn't isn't aren't shouldn't nothing")
CONDITIONS = words_of("if unless whenever")
TIMES = words_of("once before after when until till while as")
NOT_NOUNS = (
    DETERMINERS
    | PRONOUNS
    | SUBJECTS
    | PREPOSITIONS
    | JOINS
    | FILLERS
    | AUXILIARIES
    | NEGATIONS
    | CONDITIONS
    | PARTICLES
    | words_of(
        "very much more most less same way lot bit little big old new fresh brand clean good tight finger hand hands "
        "everything anything something nothing somebody everybody people person guys folks today "
        "job time thing things "
        "itself themselves single alike what who how why where when i yes no yeah hey hi thanks "
        "three-quarters pair couple half side sides top bottom "
        "left right front end ends middle edge minute minutes hour hours second seconds"
    )
)
MODIFIERS_FIRST = words_of("old new fresh brand")
