"""One idea: the words of the trade stand in tables that a person can read and add to.

British, American and Australian words side by side. A verb has a sense; what it means in a sentence also depends on
the particle after it ("take off", "put in") and on what it is done to.
"""

from enum import Enum, auto

from putback.narrate.words.everyday import EVERYDAY_VERBS, third, was_or_is_done
from putback.narrate.words.everyday import words_of as _words_of

words_of = _words_of


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
    Sense.OFF: "sawed shorn "
    "parted parting separated separates separating withdrew withdraws unties untied untie unbuckle "
    "unbuckled unlash unlashed unstrap unstrapped unlink unlinked unship unshipped unrivet "
    "unriveted unrivetted unbutton unbuttoned unhitched unlatching unwinding unseats unseated "
    "unsticks sawn chiselled chiseled cropped severed liberated unhooked prises pries peels peeling "
    "stripping levering frees releases releasing extracts detaches dislodging "
    "dismounted demounting untangled untwist untwisted uncap uncapped unbind unbound disentangled "
    "unmate unmated uncovered uncover unwraps undraw "
    "split remove removes removed removing undo undoes undid undone undoing unbolt unbolted "
    "unbolts unscrew unscrewed unscrews unclip unclipped unclips detach detached withdraw "
    "withdrawn extract extracted prise prised pry pried unfasten unfastened unhook unhooked "
    "unhitch unwind unthread dismount unwound strip stripped unlatch unlatched unsnap unsnapped "
    "unseat zip zipped buzz buzzed unspin release released whip whipped yank yanked peel peeled "
    "prying prising unclipping detaching extracting withdrawing unfastening unhooking unhooks "
    "unscrewing unbolting unpin unpinned disengage disengaged dislodge dislodged free freed "
    "freeing uninstall uninstalled disassemble disassembled dismantle dismantled lever levered "
    "rip ripped pluck plucked cut cuts cutting snip snipped rattle rattled whizz whizzed zap "
    "zapped gun gunned unthreaded unthreading demount demounted unpeel unpeeled jimmy jimmied "
    "unstick unstuck unclick unclicks unclicked unwrap unwrapped unseal unsealed excise unclamp unclamped unlace "
    "unzip "
    "unzipped ditch ditched slash slashed drilled",
    Sense.LOOSEN: "eases unloosen unloosened unloosed "
    "loosen loosened loosens loosening slacken slackened slackens slack slacked crack cracked "
    "ease eased slackening cracking easing",
    Sense.UNPLUG: "unplug unplugged unplugs unplugging disconnect disconnected disconnects disconnecting "
    "uncouple uncoupled isolate isolated depower isolating uncoupling uncouples deenergise "
    "deenergised deenergize deenergized",
    Sense.ON: "bed bedded beds relocated relocates relocate reengage reengaged reengages refix refixed "
    "refixes married lodged repositioning reinstates reinstating reinstall reinstalls "
    "installs presented tacked nests nested rejoin rejoined rejoins rejoining "
    "joined joins reseats locates locating engages remounts remounting assembles "
    "reassembles attaches inserts replugs refastens stowed restowed "
    "interposed sandwiched "
    "followed fit fitted fits refit refitted refits install installed installs installing "
    "reinstall reinstalled reattach reattached attach attached mount mounted remount seat "
    "seated reseat rebolt bolt bolted insert inserted inserts clip clipped reclip press presses "
    "pressed locate located relocate offer offered hang hung replace-back place placed places "
    "route routed routes slot slots slotted restore restored restoring fitting refitting "
    "reinstalling mounting remounted reattaching reattaches attaching inserting reinsert "
    "reinserted placing bolting clipping reclipped pressing reseated seating rehang rehung "
    "reinstate reinstated reposition repositioned position positioned reassemble reassembled "
    "assemble assembled engage engaged nestle nestled rebolts settle settled fasten fastened "
    "refasten refastened reconnect-to rerouted reroute reapply",
    Sense.START: "entered enters entering start started starts starting thread threaded threading",
    Sense.TIGHTEN: "tautened retightened retightens retightening retensioned tensions tensioning "
    "retension secures "
    "tighten tightened tightens tightening retighten torque torqued torques torquing snug "
    "snugged nip nipped cinch cinched crank cranked pinch-up clamp clamped tension tensioned "
    "secure secured secures securing retorque retorqued torqueing snugging nipping nips snugs "
    "cinches clamping",
    Sense.PLUG: "mated remated remate rehook rehooked recoupling reconnects replugging "
    "plug plugged plugs plugging reconnect reconnected reconnects reconnecting connect "
    "connected connects click clicks clicked hook hooked hooks replug replugged couple coupled "
    "clicking hooking coupling connecting recouple recoupled",
    Sense.MOVE: "fetched wound threw thrown torn tore flung strung struck shaken beat beaten fallen "
    "picked picks picking pick transfer transferred manipulated shuffled inched shimmied "
    "walked wormed jockeyed ferried lug lugged hefted heft spirited tumbled "
    "draws coaxes coaxing nudges nudging tugging rocks rocking "
    "wriggling jiggles jiggling guides guiding drags dragging hauls hauling "
    "heaves flicks flicking snapping pings tosses chucks chucking shifting pinged "
    "yoinked yoink skimmed twirl twirled whirl whirled "
    "lets poke poked wedge wedged jam jammed cram crammed driven drives drawing return returned "
    "returns lever-up take takes took taken taking pull pulls pulled pulling pop pops popped "
    "popping work works worked wiggle wiggled slide slides slid sliding lift lifts lifted "
    "lifting get gets got getting drop drops dropped put puts putting set sets setting sit sits "
    "sat push pushes pushed pushing shove shoves shoved go goes going gone went come comes came "
    "coming knock knocked tip tipped slip slips slipped let bring brings brought feed feeds fed "
    "draw drew drawn throw grab hit run runs ran spin spins spun screw screws-in screwed twist "
    "twists twisted turn turns turned squeeze pinch pinched tap tapped rock rocked fish fished "
    "wrestle wrestled break breaks broke want wants fall falls fell give gave do does did back "
    "backs backed wind winds drive drove lower-in move moved moves rotate rotated ease-out "
    "unwinds stick stuck sticks snap snaps snapped chuck chucked toss tossed done shift shifted "
    "shifts wriggle wriggled wriggles jiggle jiggled coax coaxed persuade persuaded manoeuvre "
    "manoeuvred maneuver maneuvered guide guided drag dragged haul hauled heave heaved roll "
    "rolled rolls tug tugged dump dumped empty emptied nudge nudged sling slung shake shook "
    "slipping twisting turning spinning winding shoving bring-up screwing unroll bang banged "
    "lob lobbed swap-over wiggles wiggling working carried running feeding knocking tapping "
    "dropping letting knocks flick flicked ping pinged squeezes squeezed squeezing pinches "
    "thump thumped thumps whack whacked whacks bash bashed smack smacked hammer hammered drift drifted bump bumped "
    "tease teased teases teasing hoick hoicked hoik hoiked winkle winkled wangle wangled prize prized "
    "clonk clonked ram rammed thrust jerk jerked bounce bounced "
    "depress depressed taps tugs raise-out",
    Sense.ASIDE: "strung hanged bend bent bends bending lash lashed lashes ziptied strapped tether tethered "
    "suspend suspended suspends suspending hitched "
    "tuck tucked tucks swing swings swung fold folds folded tie ties tied tucking swinging "
    "folding tying hinge hinged hinges flip flipped flips tilt tilted tilts swivel swivelled "
    "swiveled prop propped bungee bungeed flop flopped flops lean leaned leans pivoted pivoting",
    Sense.COVER: "bagged sleeved blanked swaddled covering stopper stoppered "
    "corked stuffing bunging taping capping masking wrapping "
    "cover covered covers stuff stuffed bagged cap capped tape taped bung bunged mask masked block "
    "blocked close closed wrap wrapped seal sealed",
    Sense.LAY: "spread spreads spreading drapes draping lay lays laid laying drape draped",
    Sense.RAISE: "elevate elevated raising jacking hoisting raise raised raises jack jacked hoist hoisted",
    Sense.LOWER: "lower lowered lowers lowering",
    Sense.DRAIN: "siphon siphoned syphon syphoned evacuate evacuated recovered decanted decant bailed "
    "drain drained drains draining",
    Sense.FILL: "pumped replenish replenished refills refilling tops topping "
    "fill filled fills filling refill refilled top topped pour poured pours pouring recharged",
    Sense.BLEED: "purged purging vented burping bleed bled bleeds bleeding burp burped",
    Sense.SCAN: "scan scanned scans scanning",
    Sense.READ: "read reads",
    Sense.WAIT: "wait waited waits waiting",
    Sense.PROVE: "verifies verifying confirms confirming proves proving tests testing ascertained "
    "verify verified confirm confirmed prove proved proven test tested",
    Sense.MEASURE: "gauged gapped miked mic'd ohmed metered measure measured measures measuring",
    Sense.CHECK: "check checked checks checking",
    Sense.INSPECT: "scrutinised scrutinized inspects examines viewed surveyed eyed "
    "inspect inspected inspects examine examined look looked looks looking eyeball inspecting "
    "examining eyeballed",
    Sense.CLEAN: "vac'd swilled sluiced jetted vacced vac vacc scooped "
    "mop mopped swab swabbed swabs swabbing polished flushed scour scoured buffed buff "
    "sanded emeried deburred scrubs scrapes dusts vacuumed dried decarbonised "
    "decarbonized rinses rinsing buffing polishing "
    "wiping cleaning scraping brushing scrubbing scrubbed hoovering vacuuming dust dusted clean "
    "cleaned cleans wipe wiped wipes scrape scraped scrub brush brushed rinse rinsed blow blown "
    "blew degrease degreased wash washed washes washing hosed vacuum vacuumed hoover hoovered sweep swept",
    Sense.MARK: "chalk chalked chalking numbered striped dotted centre-popped center-popped "
    "label labelled labeled labelling labeling mark marked marks marking scribe scribed",
    Sense.CLEAR: "reset resets delete deleted deletes deleting clear cleared clears clearing erase erased",
    Sense.RENEW: "changed exchange exchanged exchanges exchanging substituted superseded renewing "
    "renew renewed renews replace replaced replaces replacing swap swapped swapping",
    Sense.LEAVE: "leave leaves left leaving",
    Sense.SWITCH: "switch switched",
}
_NAMED_IN_THE_PLURAL = words_of(
    "crack bolt screw clip plug mount seat clamp cover drain hook tap cap bung block press lever prop switch brush "
    "pin spring coil "
    "lead seal guide catch lift jack fit clean strip level turn vent lock latch frame slot thread tie box wrap route "
    "place position tension crank pinch couple test check start scan mark fill strap snap band tape torque tilt swing "
    "read hit bleed blow top cut split free zip gun zap rip bang run break feed hang hand brace stop sling dust sweep "
    "press set hinge fish close mask back drive whip rock"
)
"""Such words with an s name several parts before they tell what one part does."""
_STATES_TOO = words_of("sit hang stand want let go come get give do run hold lay lie stick fall")
"""`It is hanging there`, `running`: where they end in -ing they say how something is."""
VERBS: dict[str, Sense] = {word: sense for sense, words in _WORDS.items() for word in words.split()}
for _word, _sense in list(VERBS.items()):
    if not _word.endswith(("ed", "ing", "s")) or _word.endswith("ss"):
        if _word in _STATES_TOO:
            continue
        for _form in (*was_or_is_done(_word), *([] if _word in _NAMED_IN_THE_PLURAL else [third(_word)])):
            VERBS.setdefault(_form, _sense)

_PARTICIPLES = words_of(
    "bent spread unbound sawn done shut "
    "let undone swung hung slung wound spun bled blown driven torn taken drawn cut put set run withdrawn slid "
    "stuck split lain brought swept unwound laid gone bound built sent left"
)


def is_participle(low: str) -> bool:
    """Whether a verb can say what was done to the thing before it: `clips popped`, `wheel nuts undone`."""
    return low in _PARTICIPLES or low.endswith("ed")


OTHER_VERBS = words_of(
    "broken crosses spans straddles retains obscures obstructs overlaps surrounds protrudes emerges occupies shares "
    "extends "
    "projects bridges shields locates hampers impedes overhangs adjoins traps grips clears restricts "
    "hangs rides carries passes houses contains meets lies lie lying rests spare planned plan plans hopes "
    "hold holds held holding see sees saw make makes made lose loses lost hear hears heard find finds found "
    "notice touch touched save saved saves stored store know knows need needs want wants think say says said "
    "tell show shows live lives hide hides hidden watch watching use used using reach reaches feel feels try "
    "tried stay stays stayed look-like happen break-free send kill kills follow remember forget catch catches "
    "splits belong have has had having let's does doing done packed start-up command commanded reveal "
    "reveals expose exposes allow write making supported support routing come-with compare compared sure "
    "charge charged keep keeps kept keeping flex soak soaks soaked spray sprayed spraying "
    "squirt squirted grease greased lube lubed lubricate lubricated oiled paint apply applied smear smeared "
    "dab coat coated call called calls seem seems mean means guess hope wish snag snags scratch "
    "scratched damage damaged kink kinked note noted explain buy bought order ordered cost costs pay paid "
    "learn learned match matched align aligned lined count counted photograph spill spills spilled leaked "
    "leaking rust rusted seized shear sheared rounded become becomes became appear appears sounds sounded "
    "smells fight fights fighting struggle swear worry worried remind bother avoid avoids prevent prevents "
    "protect protects let-me finish finished sealed-up access accessed remembering swapping-over supports "
    "face faces clear-off bolt-on dealt deal deals depend depends vary varies recommend recommended tend "
    "tends help helps helped listen checkout allows allowed bet imagine reckon figure figured promise talk "
    "talked talking ask asked tells told welcome thank thanks subscribe like-and adjust dripping matters leak "
    "leaks-down swollen crack-open wear worn expect begin began begins prepare prepared locked unlocked "
    "opened open buried"
) | (EVERYDAY_VERBS - VERBS.keys())
OFF_WORDS = words_of("off out away free loose clear apart")
ON_WORDS = words_of("on in back home into onto together up")
ASIDE_WORDS = words_of("aside sideways")
PARTICLES = OFF_WORDS | ON_WORDS | ASIDE_WORDS | {"down", "over", "through", "forward", "forwards"}

FASTENERS: dict[str, str] = {
    **dict.fromkeys(words_of("bolt bolts stud studs capscrew capscrews"), "bolt"),
    **dict.fromkeys(words_of("nut nuts locknut locknuts lugs"), "nut"),
    **dict.fromkeys(words_of("screw screws phillips pozidriv torxes crosshead crossheads star-heads"), "screw"),
    **dict.fromkeys(
        words_of(
            "clip clips pin pins tab tabs popper fir-trees fastener fasteners rivet rivets peg pegs tang tangs poppers"
        ),
        "clip",
    ),
    **dict.fromkeys(words_of("clamp clamps jubilee band bands"), "clamp"),
}
OF_FASTENERS = words_of(
    "push flange flanged torx hex allen long short spring worm lock plastic small big upper lower top bottom "
    "front rear left right inner outer thumb wing cap set pan head star socket banjo slide guide pinch "
    "jubilee retaining securing mounting mount fixing clamp drain bleed side middle centre center corner end "
    "old new other self tapping tapped metal rubber blind captive special stretch shouldered shoulder "
    "countersunk crosshead dome domed body trim scrivet hose cable zip grub split cotter roll locating stud "
    "wire tie holding two three little tiny trailing leading nearside offside stainless brass copper rusty "
    "silly awful last first hidden locking self-locking serrated slotted plated flat stretchy hex-head hexagon "
    "one-time single-use single stepped waisted pan-head cap-head button round square knurled castle castellated "
    "nylon crimped jam crush greasy seized sized same fresh brand torx-head cross-head"
)
"""Such words say what kind of fastener it is, or where it sits, and not what it holds."""
HOSE_HEADS = words_of("hose hoses tube tubes pipe pipes line lines duct ducts ducting")
CONNECTOR_HEADS = words_of(
    "connector connectors plug plugs sensor sensors wire wires wiring injector injectors switch switches "
    "electrics electrical socket-plug coil coils solenoid solenoids lead leads"
)
HIGH_VOLTAGE = words_of("service disconnect handle orange yellow traction hv")
FLUIDS = words_of("coolant oil fluid antifreeze water fuel refrigerant gas premix petrol glycol")
CAR = words_of("vehicle car van truck front rear nose back wheels lift ramp stands hoist ute")
HARD_GUARDS = words_of(
    "cap caps mat mats lid bung bungs foam sponge sheet sheets film paper plastic padding insulation "
    "curtain blank blanks"
)
"""Words that also name parts of the car: they guard only where nothing of that name came off."""
GUARDS = words_of(
    "rag rags cap caps tape towel towels mat mats bung bungs cloth cloths tee tees cork corks foil tarp sock socks "
    "stopper stoppers sheet sheets blanket blankets cardboard foam paper bag bags film cling lid "
    "wrap sponge glove gloves polythene plastic clingfilm bubblewrap newspaper newspapers tissue tissues blank "
    "blanks blanking blanker dustsheet dustsheets dropcloth tarpaulin hessian chamois duvet quilt "
    "binbag binliner parafilm condom nitrile latex stocking hankie handkerchief "
    "plywood hardboard corrugated carton insulation gaffer masking cellophane wadding padding newsprint "
    "shammy doily fleece pillow pillowcase curtain teatowel carrier-bag tarps duvets quilts towelling "
    "dishcloth facecloth flannel t-shirt tshirt sweatshirt beanie oilskin groundsheet bedsheet bedsheets rug "
    "offcut lagging baggie baggies"
)
ACROSS = words_of("left right nearside offside driver passenger driver's passenger's drivers passengers")
"""Words for the two sides of a car."""
VEHICLES = words_of("vehicle car van truck ute wagon pickup estate saloon hatchback bus lorry taxi")
"""Words for the whole vehicle."""
STORES = words_of(
    "bench surface dash floor table shelf tray drawer side trolley box pocket counter bag tub tin pot cup bin "
    "toolbox magnet dish jar ziplock bucket lap cart pallet workbench lockbox cupboard cabinet locker"
)
"""Where small parts are kept while the work goes on."""
SCREWED_IN = words_of("drain filler fill level sump spark glow oil core gearbox")
"""Such a plug is a part of the car that is screwed in, neither the end of a wire nor a guard."""
POWERTRAIN = words_of("engine gearbox transmission transaxle powertrain")
"""What is held up or let down by itself, while the car stays where it is."""
MODULES = words_of("module modules unit units system systems ecu ecus codes code computer computers scanner faults")

DETERMINERS = words_of(
    "the a an this that these those my your our its his her their each every all any some both another"
)
PRONOUNS = words_of(
    "it'll that'll they'll it'd it them they those these that this her him she he one ones lot both all"
)
SUBJECTS = words_of(
    "ye ye'd ye'll ye've "
    "i you we they he she i'll you'll we'll i'm we're you're i've we've you've i'd you'd let's he's they're "
    "she's they've they'd he'd she'd it'd who'd he'll she'll they'll ya y'all"
)
PREPOSITIONS = words_of(
    "of on in at to from with by for over under behind below beneath beside above around round across along "
    "through into onto against near between inside outside towards toward past up down off out per about "
    "until till before after as like without underneath beyond upon atop alongside than"
)
JOINS = words_of(
    "and then so but or because while once when if until till before after where which since though that's "
    "it's there's here's what's where's how's"
)
FILLERS = words_of(
    "okay ok right well now just uh um er ah like simply carefully gently gonna going go ahead then first "
    "next finally also too again please really here there so alright actually basically straight nice nicely "
    "slowly quickly easily only still already always start-by crack"
)
AUXILIARIES = words_of(
    "is are was were be been being am has have had having will would can could should shall may might must do "
    "does did don't doesn't didn't won't can't couldn't isn't aren't need needs to want wants gotta got get "
    "gets"
)
NEGATIONS = words_of(
    "nobody ain't wasn't weren't hadn't hasn't haven't cannot don't not never no without doesn't didn't won't can't "
    "needn't "
    "isn't "
    "aren't shouldn't nothing"
)
CONDITIONS = words_of("if unless whenever")
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
        "whoever un ish far third fourth me us myself yourself himself herself "
        "either neither cold hot warm dry wet dirty empty full quiet center centre size sizes very much more "
        "most less same way lot bit little big old new fresh brand clean good tight finger hand hands "
        "everything anything something nothing somebody everybody people person guys folks today job time "
        "thing things itself themselves single alike what who how why where when i yes no yeah hey hi thanks "
        "sorry aye innit should've could've would've might've must've cos otherwise happy legal proper nasty "
        "innocent certain altogether three-quarters pair couple half side sides top bottom left right front end ends "
        "middle edge minute "
        "minutes hour hours second seconds ready easy awkward fiddly stubborn careful sure able great fine "
        "bad best better worse flush square forwards backwards upwards downwards outwards inwards outward "
        "inward upward downward clockwise anticlockwise counterclockwise afterwards meanwhile later earlier "
        "yesterday tomorrow tonight whatever whichever somewhere anywhere everywhere enough almost maybe "
        "perhaps often sometimes ever yet even twice remaining several few many such quite rather pretty "
        "kinda sorta else other others another's instead anyway besides however both's okay alrighty yep yup "
        "nope hello cheers reverse possible different obvious handy important necessary correct wrong true "
        "false visible hidden tricky simple hard harder easier first's last next's fourth fifth firm gentle "
        "slight sharp weeping leaking failing matching offending plenty within beforehand likewise "
        "ditto similarly none "
        "there'll you'd i'd "
        "we'd it'll that'll they'll who's until's"
    )
)
