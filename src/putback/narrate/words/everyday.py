"""One idea: people talk of more than the car; such words name no part, and what they tell is no operation.

Verbs in their base form; their other forms are made by rule. A base form that may also name a part (a shield, a
support) counts as a verb only in its other forms.
"""

from collections.abc import Iterator


def words_of(text: str) -> frozenset[str]:
    """The words of a text, as a set."""
    return frozenset(text.split())


_VERBS_ONLY = words_of(
    "accept accomplish achieve acquire admit advise agree aim amaze announce annoy apologise apologize appreciate "
    "argue arrange arrive assume attempt attract bark beg behave believe belong blame bless bother breathe bribe "
    "browse burn bury calculate care carry celebrate chat cheer choose chuckle clarify climb "
    "collect combine comment complain complete comprise concern confess confuse consider consist contain "
    "continue contribute convert convince cook cope cough crawl creep criticise cry curse dance dare debate decide "
    "declare decorate deduce demand deny describe deserve design despise destroy detect determine develop die dig "
    "disagree disappear disappoint discover discuss dislike distract disturb drip drown earn eat educate embarrass "
    "emerge employ encourage encounter ensure entertain exaggerate exist explore expose express fail fancy "
    "flinch forbid forgive frighten gather giggle grin groan grow grumble guarantee happen hate heal hesitate "
    "hire hug hurry hurt ignore illustrate impress improve include incur indicate inform inherit inhale injure "
    "insist instruct insult intend interrupt introduce invent invite irritate jog joke juggle justify kneel kiss "
    "mind reuse reckon laugh lend litter live love maintain manage marry matter mention mutter narrate neglect nod "
    "obey "
    "observe obtain occur offend operate outlive overlook overtake owe participate peer perform permit persist "
    "phone pity please possess postpone pour practise practice pray prefer pretend print proceed produce "
    "pronounce propose publish punish pursue qualify quit quote rain realise realize rebuild recall "
    "receive recognise recognize recommend reduce refer refuse regret reject relate relax rely remain remark "
    "renovate repair repeat report represent require rescue research resemble resist resolve respect respond "
    "retire retrieve reveal reward ruin rush satisfy scare scream seek select shiver shop shout shrug "
    "sigh sing skip sleep slow smile smoke sneeze snore solve sort speak spell spend spoil stare starve steal "
    "stink stop stumble succeed suffer suggest suit summarise summarize suppose surprise survive suspect swallow "
    "sweat swim tackle tease tempt testify tidy tolerate translate travel treat tremble trust tumble type "
    "understand upset urge value visit vomit vote waffle waggle walk wander warn waste whisper whistle win "
    "wonder worry yawn yell"
)
_VERBS_AND_NOUNS = words_of(
    "answer balance base benefit bite block build burst cause chase cost cycle dash deliver doubt dream "
    "drift end contact equal escape estimate feature film flood fool form function ground guide head heat hurt iron "
    "joint jump land last leak learn limit load lock look loop move name need number object offer open pack park pass "
    "picture plan plant play point pose post power promise question race record regard rent rest rub scrap "
    "sense shape share shield show sign smell sound spray stage stamp store strain stretch struggle study "
    "support supply surface talk taste thank think time touch trace train transport trick trouble trust twitch view "
    "wash watch weigh wish work worry stain scrub pee sneak dent bodge botch fumble fiddle mess "
    "faff swear tire video photo text email mail book quote charge service train film edit"
)
_IRREGULAR = words_of(
    "wrote written wrote ate eaten woke woken met spoke spoken stood understood thought thought fought taught brought "
    "bitten chose chosen dealt drank drunk drew dreamt dug fled flew flown forgot forgotten forgave forgiven froze "
    "grew grown heard hid held kept knew known laughed lent lied lit lost meant paid rang rung rose risen said "
    "sang sung sank sunk sold sought sent shone shot slept smelt spent spelt spilt spoilt spat stole stolen stank "
    "swore sworn swam swum taught thought understood woke won wept became begun bought built burnt bent "
    "bade bet crept cried died found swallowed overdid oversaw outdid cursed quit rode ridden "
    "gotten been"
)
_NAMES_IN_ING = words_of(
    "bearing bearings housing housings bushing bushings wiring ducting coupling couplings fitting fittings mounting "
    "mountings ring rings o-ring spring springs lining linings casing casings moulding mouldings molding moldings "
    "trunking string wing wings sealing dressing covering carpeting sleeving piping tubing bung earthing sling "
    "hinging ceiling planning thing things sting backing padding matting seating steering grounding opening "
    "openings bracing decking edging flooring weatherstripping circling cladding lagging sheathing "
    "webbing deadening beading headlining rigging shielding screening conduiting braiding"
)
_NAMES_IN_ED = words_of("red bed speed need seed feed reed shed sled lead bleed")


def was_or_is_done(base: str) -> Iterator[str]:
    """What a verb may look like when it was or is being done.

    >>> sorted(was_or_is_done("carry")), sorted(was_or_is_done("plan"))
    (['carried', 'carrying'], ['planned', 'planning'])
    """
    if base.endswith("e"):
        yield from (base + "d", base[:-1] + "ing")
    elif base.endswith("y") and base[-2:-1] not in "aeiou":
        yield from (base[:-1] + "ied", base + "ing")
    elif len(base) in (3, 4) and base[-1] not in "aeiouwxy" and base[-2] in "aeiou" and base[-3] not in "aeiou":
        yield from (base + base[-1] + "ed", base + base[-1] + "ing")
    else:
        yield from (base + "ed", base + "ing")


def third(base: str) -> str:
    """What it looks like in the mouth of one who tells what another does."""
    if base.endswith(("s", "sh", "ch", "x", "z", "o")):
        return base + "es"
    return base[:-1] + "ies" if base.endswith("y") and base[-2:-1] not in "aeiou" else base + "s"


EVERYDAY_VERBS = frozenset(
    {word for base in _VERBS_ONLY for word in (base, third(base), *was_or_is_done(base))}
    | {word for base in _VERBS_AND_NOUNS for word in was_or_is_done(base)}
    | _IRREGULAR
)
"""Words of doing that say nothing was done to the car."""


def is_doing(word: str) -> bool:
    """Whether a word in -ing or -ed that no list knows is of doing, and names nothing by itself.

    >>> is_doing("moving"), is_doing("printed"), is_doing("housing")
    (True, True, False)
    """
    if word.endswith("ing"):
        return len(word) > 5 and word not in _NAMES_IN_ING
    return word.endswith("ed") and len(word) > 4 and word not in _NAMES_IN_ED


EVERYDAY_NOUNS = words_of(
    # people
    "nephew niece man men woman women boy girl kid kids child children baby son daughter wife husband missus mum mom "
    "mother dad "
    "father brother sister uncle aunt nan gran granny grandad grandpa grandma cousin neighbour neighbor bloke chap "
    "lad lads lady ladies gentleman folk dude buddy pal bro fella fellow owner lodger gaffer foreman "
    "manager teacher student trainee instructor mechanic technician engineer fitter doctor nurse surgeon police cop "
    "idiot fool genius hero expert amateur beginner novice viewer viewers subscriber subscribers "
    "audience crowd team crew gang company garage workshop shop dealership dealer factory office firm "
    "landlord postman vicar policeman accountant lawyer "
    # the body, clothes, food, animals
    "hair skull thumb thumbs wrist wrists shoulder shoulders knees fingernail "
    "fingernails palm palms stomach blood bruise scar sweat breath voice "
    "trousers pants shirt coffee tea biscuit biscuits cake sandwich "
    "sandwiches bacon dinner supper breakfast pizza taco tacos burger chips fries fry pie pies cheese bread butter "
    "sugar milk brew cuppa drink drinks soup liquorice donut doughnut cookie cookies beers dog dogs "
    "cats mouse mice rat rats squirrel wasps wasp bee bees bird birds horse cow cows sheep chicken "
    "chickens fox badger kangaroo snake "
    # time, weather, place
    "morning evening noon midnight weekend tuesday wednesday thursday saturday sunday january february march april "
    "may june july august september october november december summer winter autumn christmas easter "
    "birthday holiday holidays decade century season years ages while spell moment moments weather rain snow sun "
    "sunshine sky grass garden yard driveway street road motorway highway lane field "
    "kitchen bathroom bedroom lounge shed barn house cottage village town city country world "
    "planet america britain australia england scotland wales ireland europe japan germany church school college pub "
    "beach sea river coast mountain desert hospital supermarket airport "
    # talk and thought
    "story stories tale lie lies truth joke jokes laugh word words sentence language english advice suggestion "
    "opinion opinions comment comments description email emails message messages letter letters book "
    "books page pages chapter movie episode series music song tv telly internet website forum "
    "news list lists note notes paperwork invoice bill bills receipt estimate quote price prices cost "
    "costs money cash dollar dollars pounds quid buck bucks cent cents pence penny euro euros tax wage "
    "budget savings discount warranty insurance mood temper patience faith hope hopes fear fears "
    "surprise shame pity pleasure luck magic mystery miracle disaster nightmare dream sense nonsense rubbish "
    "heaven god lord devil goodness heck thanks apology sorry "
    "promise promises habit habits rule rules law laws rights wrongs duty respect honesty honour honor pride joy love "
    "hate anger war peace battle fight argument chat talk conversation discussion lecture lesson lessons class "
    "classes course courses exam theory theories logic idea ideas thought thoughts plan plans decision "
    "choice choices option options alternative alternatives opportunity possibility probability experience "
    "experiences history future past tradition purpose intention effect effects result "
    "results outcome consequence consequences benefit benefits advantage disadvantage difference similarity example "
    "examples instance matter matters subject topic detail details information info data knowledge skill skills "
    "talent wisdom mistake mistakes error errors accident accidents incident harm injury pain headache "
    "sake manners kind kinds type types sort sorts way ways manner style habit version versions variety range deal "
    "deals business trade trades career jobs project projects task tasks chore challenge effort efforts attempt "
    "attempts try tries stage stages phase phases progress success victory win wins "
    "loss failures trouble troubles bother hassle faff nuisance drama fuss rush hurry panic stress worry "
    "state states condition conditions shape situation circumstances appearance colour "
    "color colours colors stink taste noise noises sound sounds silence crash crunch thud thump "
    "squeak squeal hiss crackle bits lump chunk chunks handful loads tons plenty heap heaps bunch "
    "depth depths height heights length lengths widths size sizes distance distances "
    "heel toe toes nowhere fifty percent majority minority numbers amount "
    "amounts total totals sum average fraction quarter quarters dozen dozens hundreds thousands millions "
    "habitat nature sofa couch chair telly fridge freezer oven toaster kettle teapot "
    "spoon scissors newspaper magazine calendar diary lottery game games "
    "football cricket rugby golf tennis party wedding funeral divorce marriage "
    "bet bets beast monster angel darling "
    # of the workshop, and no part of the car
    "nail nails dignity clown desk parish calf cattle complaint toast bread-bin vernier caliper-rule spider minicab "
    "tractor scene junk cage cages anyone anybody somebody creak chirp clunk fuzz muck soot dunt tongue factor pet "
    "smidge smidgen skosh tad "
    "leather kerb kerbs fee surfboard surfboards flame spirit record records blokes account desk scribble "
    "workmate lodgings bootlace shoelace hairpin hatchet packet cardboard thermos pallet ledger diary customer "
    "customers insurer invoice photograph photographs photo photos picture pictures stopwatch radio station stations "
    "ohm ohms emery sandpaper chalk crayon pencil marker biro saw drill anvil vice crowbar broom shovel ladder "
    "creeper stool bucket-list apron overalls goggles mask lunch sandwich snack crisps smoko piece-break"
)
"""Words for people, food, weather, talk and feelings: at the end of a name they say that it is of no part."""
BODY = words_of(
    "knuckle knuckles finger fingers hand hands elbow elbows arm arms foot feet leg legs knee knees face eye eyes "
    "nose "
    "head back neck ear ears chest lap boot boots shoe shoes skin teeth tooth mouth chin"
)
"""Of a person where it is said whose; else it may name a part."""
